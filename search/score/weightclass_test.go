package score

import (
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

// A piece of that many kilograms, and what it takes to move it. The limits are
// those of the score: 23 kg a person (NIOSH publication 94-110, the load
// constant), and 1,000 and 2,500 lb, common practice.
func TestWeightClassOf(t *testing.T) {
	for _, c := range []struct {
		kg   float64
		want pb.WeightClass
	}{
		{0.5, pb.WeightClass_WEIGHT_CLASS_LIGHT},
		{23, pb.WeightClass_WEIGHT_CLASS_LIGHT},
		{23.1, pb.WeightClass_WEIGHT_CLASS_CREW},
		{92, pb.WeightClass_WEIGHT_CLASS_CREW},
		{92.1, pb.WeightClass_WEIGHT_CLASS_WHEELS},
		{453, pb.WeightClass_WEIGHT_CLASS_WHEELS},
		{454, pb.WeightClass_WEIGHT_CLASS_MACHINERY},
		{1133, pb.WeightClass_WEIGHT_CLASS_MACHINERY},
		{1135, pb.WeightClass_WEIGHT_CLASS_RIGGERS},
	} {
		lot := &pb.Lot{Kind: pb.Kind_KIND_PRESS, Weight: &pb.Weight{MassKg: proto.Float64(c.kg)},
			Detail: &pb.Lot_Press{Press: &pb.PressDetail{HeaviestPieceKg: proto.Float64(c.kg)}}}
		if got := WeightClassOf(lot); got != c.want {
			t.Errorf("%v kg: %v, want %v", c.kg, got, c.want)
		}
	}
	if got := WeightClassOf(&pb.Lot{Kind: pb.Kind_KIND_OTHER, Title: "a mystery"}); got != pb.WeightClass_WEIGHT_CLASS_UNSPECIFIED {
		t.Errorf("nothing known: %v", got)
	}
}
