package trade

import (
	"testing"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
)

func rect(w, h float64) *pb.Rectangle {
	return &pb.Rectangle{WidthMm: tidy(w * MmPerInch), HeightMm: tidy(h * MmPerInch)}
}

func press(c pb.Class, d *pb.PressDetail) *pb.Lot {
	return &pb.Lot{Kind: pb.Kind_KIND_PRESS, Class: c, Detail: &pb.Lot_Press{Press: d}}
}

func general(k pb.Kind, c pb.Class, d *pb.GeneralDetail) *pb.Lot {
	return &pb.Lot{Kind: k, Class: c, Detail: &pb.Lot_General{General: d}}
}

func metal(d *pb.MetalTypeDetail) *pb.Lot {
	return &pb.Lot{Kind: pb.Kind_KIND_METAL_TYPE, Detail: &pb.Lot_MetalType{MetalType: d}}
}

func wood(d *pb.WoodTypeDetail) *pb.Lot {
	return &pb.Lot{Kind: pb.Kind_KIND_WOOD_TYPE, Detail: &pb.Lot_WoodType{WoodType: d}}
}

func TestFillDetail(t *testing.T) {
	const jobber, proof, hand = pb.Class_CLASS_PLATEN_JOBBER, pb.Class_CLASS_CYLINDER_PROOF_PRESS, pb.Class_CLASS_HAND_PRESS
	slab := general(pb.Kind_KIND_STONES, pb.Class_CLASS_IMPOSING_STONE, &pb.GeneralDetail{WorkingSize: rect(24, 36), ThicknessMm: proto.Float64(50.8)})
	for size, want := range map[string]*pb.Lot{
		"10x15":          press(jobber, &pb.PressDetail{Chase: rect(10, 15)}),
		"15x20":          press(proof, &pb.PressDetail{Bed: rect(15, 20)}),
		"14x18 in sheet": press(proof, &pb.PressDetail{Sheet: rect(14, 18)}),
		"bed 20x26":      press(hand, &pb.PressDetail{Bed: rect(20, 26)}),
		"20x26":          press(hand, &pb.PressDetail{Platen: rect(20, 26)}),
		"9x13":           press(0, &pb.PressDetail{Chase: rect(9, 13)}),
		"24pt":           metal(&pb.MetalTypeDetail{Size: points1(24, 0, "")}),
		"24":             metal(&pb.MetalTypeDetail{Size: points1(24, 0, "")}),
		"12":             wood(&pb.WoodTypeDetail{Size: lines1(12)}),
		"12 line":        wood(&pb.WoodTypeDetail{Size: lines1(12)}),
		"3x4":            {Kind: pb.Kind_KIND_CUTS, Count: proto.Int32(7), Detail: &pb.Lot_Cuts{Cuts: &pb.CutsDetail{Face: rect(3, 4), Pieces: proto.Int32(7)}}},
		"24x36x2":        slab,
		"26 in":          general(pb.Kind_KIND_CUTTERS, pb.Class_CLASS_FLOOR_CUTTER, &pb.GeneralDetail{WorkingSize: rect(26, 26)}),
		"26x20":          general(pb.Kind_KIND_CUTTERS, 0, &pb.GeneralDetail{WorkingSize: rect(26, 20)}),
		"24 cases":       general(pb.Kind_KIND_CABINETS, pb.Class_CLASS_TYPE_CABINET, &pb.GeneralDetail{Cases: proto.Int32(24)}),
		"48-drawer":      general(pb.Kind_KIND_CABINETS, pb.Class_CLASS_TYPE_CABINET, &pb.GeneralDetail{Cases: proto.Int32(48)}),
		"big":            general(pb.Kind_KIND_TOOLS, 0, &pb.GeneralDetail{}),
		"half height":    general(pb.Kind_KIND_CABINETS, 0, &pb.GeneralDetail{}),
	} {
		got := &pb.Lot{Kind: want.Kind, Class: want.Class, Count: want.Count, SizeAsWritten: size}
		want.SizeAsWritten = size
		if err := FillDetail(got); err != nil || !proto.Equal(got, want) {
			t.Errorf("FillDetail(%q) gives %v, %v, want %v", size, got, err, want)
		}
		if err := FillDetail(got); err != nil || !proto.Equal(got, want) {
			t.Errorf("FillDetail(%q) a second time gives %v, %v", size, got, err)
		}
	}
}

// TestFillDetailKeeps: what the detail says already is not written over, and what
// was written as the size is then not read.
func TestFillDetailKeeps(t *testing.T) {
	for _, lot := range []*pb.Lot{
		press(pb.Class_CLASS_PLATEN_JOBBER, &pb.PressDetail{Chase: rect(8, 12)}),
		metal(&pb.MetalTypeDetail{Size: points1(12, 0, "")}),
		wood(&pb.WoodTypeDetail{Size: lines1(8)}),
		{Kind: pb.Kind_KIND_CUTS, Detail: &pb.Lot_Cuts{Cuts: &pb.CutsDetail{Face: rect(2, 2)}}},
		general(pb.Kind_KIND_CUTTERS, 0, &pb.GeneralDetail{WorkingSize: rect(19, 19)}),
		general(pb.Kind_KIND_CABINETS, 0, &pb.GeneralDetail{Cases: proto.Int32(3)}),
	} {
		lot.SizeAsWritten = "99 cases"
		want := proto.CloneOf(lot)
		if err := FillDetail(lot); err != nil || !proto.Equal(lot, want) {
			t.Errorf("%v became %v, %v", want, lot, err)
		}
	}
	lot := &pb.Lot{Class: pb.Class_CLASS_LINE_CASTER}
	if err := FillDetail(lot); err != nil || lot.GetKind() != pb.Kind_KIND_CASTERS || lot.GetGeneral() == nil {
		t.Errorf("a lot with a class and no kind became %v, %v", lot, err)
	}
}

func TestFillDetailRefuses(t *testing.T) {
	for _, c := range []struct {
		kind       pb.Kind
		class      pb.Class
		size, says string
	}{
		{pb.Kind_KIND_PRESS, 0, "big", "as bed 20x26"},
		{pb.Kind_KIND_PRESS, 0, "254x381", "254x381 mm"},
		{pb.Kind_KIND_METAL_TYPE, 0, "big", "24pt"},
		{pb.Kind_KIND_WOOD_TYPE, 0, "tall", "12 line"},
		{pb.Kind_KIND_CUTS, 0, "big", "10x15"},
		{pb.Kind_KIND_STONES, 0, "big", "24x36x2"},
		{pb.Kind_KIND_CUTTERS, 0, "big", "26 in"},
	} {
		err := FillDetail(&pb.Lot{Kind: c.kind, Class: c.class, SizeAsWritten: c.size})
		refused(t, c.size, err, c.says)
	}
	err := FillDetail(&pb.Lot{Kind: pb.Kind_KIND_METAL_TYPE, Class: pb.Class_CLASS_PLATEN_JOBBER})
	refused(t, "platen jobber", err, "it belongs to press")
}
