package score_test

import (
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/score"
	"heirpress/search/trade"
)

func TestUnaskedIsTheFitWithoutQuestions(t *testing.T) {
	list := &pb.WantedList{Kit: &pb.Kit{People: proto.Int32(2)}}
	want := &pb.Want{MustHave: []string{"rollers"}}
	lot := &pb.Lot{Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_TABLETOP_PLATEN}
	full, bare := score.Lot(list, want, lot, nil), score.Unasked(list, want, lot, nil)
	if len(full.GetQuestions()) == 0 {
		t.Fatal("there is nothing to ask about a press of which nothing is known")
	}
	if full.Questions = nil; !proto.Equal(full, bare) {
		t.Errorf("%v, want %v", bare, full)
	}
}

func TestHandles(t *testing.T) {
	piece := func(kg float64) *pb.Lot {
		return &pb.Lot{Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER, Weight: &pb.Weight{MassKg: proto.Float64(2 * kg)},
			Detail: &pb.Lot_Press{Press: &pb.PressDetail{HeaviestPieceKg: proto.Float64(kg)}}}
	}
	all := func(kg float64) *pb.Kit {
		return &pb.Kit{People: proto.Int32(1), DollyKg: proto.Float64(kg), PalletJackKg: proto.Float64(0),
			HoistKg: proto.Float64(kg), LiftgateKg: proto.Float64(0), ForkliftKg: proto.Float64(0)}
	}
	for _, c := range []struct {
		name string
		kit  *pb.Kit
		lot  *pb.Lot
		want trade.Answer
	}{
		{"a kit that says all and is enough", all(500), piece(500), trade.Yes},
		{"a kit that says all and is not", all(499), piece(500), trade.No},
		{"a kit that says nothing", nil, piece(500), trade.Unknown},
		{"people carry it, whatever else there is", &pb.Kit{People: proto.Int32(2)}, piece(40), trade.Yes},
		{"a dolly alone does not say how it is loaded", &pb.Kit{DollyKg: proto.Float64(900)}, piece(500), trade.Unknown},
		{"nobody knows what it weighs", all(500), &pb.Lot{Kind: pb.Kind_KIND_OTHER}, trade.Unknown},
	} {
		if got := score.Handles(c.kit, c.lot); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
