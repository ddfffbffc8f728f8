package trade

import (
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"
)

func pounds1(lot *pb.Lot) (low, high float64) {
	e := WeightOf(lot)
	return e.LowKg / KgPerPound, e.HighKg / KgPerPound
}

func TestSaidWeightWins(t *testing.T) {
	lot := press(pb.Class_CLASS_PLATEN_JOBBER, &pb.PressDetail{Chase: rect(10, 15)})
	lot.Weight = weight(600, 600, pb.Grounds_GROUNDS_MEASURED)
	if e := WeightOf(lot); e.LowKg != 600 || e.HighKg != 600 || e.Grounds != pb.Grounds_GROUNDS_MEASURED || e.Doubt != "" {
		t.Errorf("a measured weight became %+v", e)
	}
	lot.Weight = weight(550, 650, 0)
	if e := WeightOf(lot); e.LowKg != 550 || e.HighKg != 650 || e.Grounds != pb.Grounds_GROUNDS_STATED {
		t.Errorf("a stated range became %+v", e)
	}
	lot.Weight = &pb.Weight{MassKg: proto.Float64(600), LowKg: proto.Float64(550), HighKg: proto.Float64(650)}
	if e := WeightOf(lot); e.LowKg != 550 || e.HighKg != 650 {
		t.Errorf("a figure with a range became %+v", e)
	}
	lot.Weight = weight(-5, -5, 0)
	if e := WeightOf(lot); e.Grounds != pb.Grounds_GROUNDS_ESTIMATED {
		t.Errorf("a weight that is none became %+v", e)
	}
}

func TestDoubt(t *testing.T) {
	lot := press(pb.Class_CLASS_PLATEN_JOBBER, &pb.PressDetail{Chase: rect(10, 15)})
	for kg, says := range map[float64]string{
		612: "", 400: "", 1200: "", 100: "is far from the 1,200 to 1,900 lb expected of platen jobber, 10x15 chase (100 kg against 544 to 862 kg)", 5000: "is far from",
		1350: "were kilograms taken for pounds?", 278: "were pounds and kilograms mixed up?",
	} {
		lot.Weight = weight(kg, kg, 0)
		if e := WeightOf(lot); says == "" && e.Doubt != "" || !strings.Contains(e.Doubt, says) || e.LowKg != kg {
			t.Errorf("%v kg: doubt %q, want %q; %v", kg, e.Doubt, says, e)
		}
	}
}

// TestSizesOfClass: a size of the table takes its row, a size between two spans
// both, a size beyond the table is scaled with its area, none spans the class.
func TestSizesOfClass(t *testing.T) {
	for size, want := range map[string][2]float64{
		"10x15": {1200, 1900}, "254x380 mm": {1200, 1900}, "9.9x14.9": {1200, 1900}, "9x13": {900, 1900}, "12x18": {2000, 2900}, "11x17": {1200, 2900},
		"14x22": {2600, 3600}, "3x5": {500.0 / 4, 950}, "28x22": {2600, 7200}, "": {500, 3600},
	} {
		lot := press(pb.Class_CLASS_PLATEN_JOBBER, &pb.PressDetail{})
		lot.SizeAsWritten = size
		if err := FillDetail(lot); err != nil {
			t.Fatal(err)
		}
		if low, high := pounds1(lot); !close2(low, want[0], 0.5) || !close2(high, want[1], 0.5) {
			t.Errorf("a jobber of %q weighs %v to %v lb, want %v", size, low, high, want)
		}
	}
}

func TestEstimatesByKind(t *testing.T) {
	area := 54 * mm2PerIn2
	for name, c := range map[string]struct {
		lot       *pb.Lot
		low, high float64
		basis     string
	}{
		"area":              {metal(&pb.MetalTypeDetail{AreaMm2: &area}), 13.3, 18.6, "54 in² of type standing, alloy not known"},
		"area and alloy":    {metal(&pb.MetalTypeDetail{AreaMm2: &area, Alloy: pb.Alloy_ALLOY_STEREOTYPE}), 15.1, 17.8, "stereotype metal"},
		"cases of text":     {metal(&pb.MetalTypeDetail{Cases: proto.Float64(2), Size: points1(12, 0, "")}), 50, 120, "2 cases of type, 25 to 60 lb each"},
		"cases of display":  {metal(&pb.MetalTypeDetail{Cases: proto.Float64(2), Size: points1(48, 0, "")}), 30, 80, "15 to 40 lb"},
		"pieces":            {metal(&pb.MetalTypeDetail{Pieces: proto.Int32(1000), Size: points1(12, pb.PointSystem_POINT_SYSTEM_AMERICAN, "")}), 2.81, 7.1, "1,000 pieces, 12 pt American"},
		"scheme":            {metal(&pb.MetalTypeDetail{Scheme: "8A 10a", Size: points1(24, pb.PointSystem_POINT_SYSTEM_AMERICAN, "")}), 3.9, 12.4, "a fount of 8A 10a with its spaces, 24 pt"},
		"pieces of no size": {metal(&pb.MetalTypeDetail{Pieces: proto.Int32(1000)}), 0, 0, ""},
		"no type":           {metal(nil), 0, 0, ""},
		"wood":              {wood(&pb.WoodTypeDetail{Size: lines1(12), Pieces: proto.Int32(70)}), 1.86, 6.5, "70 pieces of wood type, 12 line"},
		"wood by scheme":    {wood(&pb.WoodTypeDetail{Size: lines1(12), Scheme: "3A"}), 1.94, 6.78, "a fount of 3A of wood type"},
		"wood by count":     {wood(&pb.WoodTypeDetail{Size: lines1(12), Bill: (Scheme{Caps: 5}).Bill().Counts()}), 2.82, 22.18, "106 pieces counted of wood type, 12 line"},
		"metal by count":    {metal(&pb.MetalTypeDetail{Size: points1(24, pb.PointSystem_POINT_SYSTEM_AMERICAN, ""), Bill: (Scheme{25, 50, 10}).Bill().Counts()}), 15.99, 50.7, "1,426 pieces counted with its spaces, 24 pt American"},
		"wood of no count":  {wood(&pb.WoodTypeDetail{Size: lines1(12)}), 0, 0, ""},
		"one cut":           {&pb.Lot{Kind: pb.Kind_KIND_CUTS, Detail: &pb.Lot_Cuts{Cuts: &pb.CutsDetail{Pieces: proto.Int32(1), Face: rect(3, 4)}}}, 0.26, 4.14, "1 cut on wood or metal"},
		"three cuts":        {&pb.Lot{Kind: pb.Kind_KIND_CUTS, Detail: &pb.Lot_Cuts{Cuts: &pb.CutsDetail{Pieces: proto.Int32(3), Face: rect(3, 4)}}}, 0.32, 12.39, "3 cuts on wood or metal, the largest 3 x 4 in (76.2 x 101.6 mm)"},
		"steel surface":     {general(pb.Kind_KIND_STONES, pb.Class_CLASS_IMPOSING_SURFACE, &pb.GeneralDetail{WorkingSize: rect(24, 36), ThicknessMm: proto.Float64(50.8)}), 450, 790, "24 x 36 in (609.6 x 914.4 mm) slab"},
		"cuts of no size":   {&pb.Lot{Kind: pb.Kind_KIND_CUTS, Detail: &pb.Lot_Cuts{Cuts: &pb.CutsDetail{Pieces: proto.Int32(9)}}}, 0, 0, ""},
		"marble":            {general(pb.Kind_KIND_STONES, pb.Class_CLASS_IMPOSING_STONE, &pb.GeneralDetail{WorkingSize: rect(24, 36), ThicknessMm: proto.Float64(50.8), Material: "Marble"}), 160, 460, "24 x 36 in (609.6 x 914.4 mm) slab"},
		"stone":             {general(pb.Kind_KIND_STONES, 0, &pb.GeneralDetail{WorkingSize: rect(24, 36)}), 160, 1035, "24 x 36 in (609.6 x 914.4 mm) slab"},
		"a stone":           {general(pb.Kind_KIND_STONES, 0, nil), 0, 0, ""},
		"cabinet":           {general(pb.Kind_KIND_CABINETS, pb.Class_CLASS_TYPE_CABINET, &pb.GeneralDetail{Cases: proto.Int32(24)}), 700, 1900, "type cabinet of 24 cases, filled"},
		"a cabinet":         {general(pb.Kind_KIND_CABINETS, pb.Class_CLASS_TYPE_CABINET, nil), 0, 0, ""},
		"loose cases":       {&pb.Lot{Kind: pb.Kind_KIND_CABINETS, Class: pb.Class_CLASS_TYPE_CASE, Count: proto.Int32(6)}, 48, 672, "6 type cases, empty to full"},
		"galley rack":       {general(pb.Kind_KIND_CABINETS, pb.Class_CLASS_GALLEY_CABINET, nil), 0, 0, ""},
		"two presses":       {&pb.Lot{Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_GALLEY_PROOF_PRESS, Count: proto.Int32(2)}, 300, 1200, "2 of galley proof press"},
		"nipping press":     {press(pb.Class_CLASS_NIPPING_PRESS, nil), 0, 0, ""},
		"some press":        {press(0, &pb.PressDetail{Chase: rect(10, 15)}), 0, 0, ""},
	} {
		e := WeightOf(c.lot)
		low, high := pounds1(c.lot)
		if !close2(low, c.low, 0.006*c.low+0.05) || !close2(high, c.high, 0.006*c.high+0.05) || !strings.Contains(e.Basis, c.basis) {
			t.Errorf("%s: %.4g to %.4g lb (%s), want %v to %v (%s)", name, low, high, e.Basis, c.low, c.high, c.basis)
		}
		if e.Known != (c.high > 0) || e.Known && (e.Grounds != pb.Grounds_GROUNDS_ESTIMATED || e.Basis == "") {
			t.Errorf("%s: %+v has not the grounds of an estimate", name, e)
		}
	}
}

func TestHeaviestPiece(t *testing.T) {
	jobber := press(pb.Class_CLASS_PLATEN_JOBBER, &pb.PressDetail{Chase: rect(10, 15)})
	weighed := proto.CloneOf(jobber)
	weighed.Weight = weight(1600*KgPerPound, 1600*KgPerPound, pb.Grounds_GROUNDS_MEASURED)
	stated := proto.CloneOf(jobber)
	stated.GetPress().HeaviestPieceKg = proto.Float64(400)
	pair := proto.CloneOf(jobber)
	pair.Count = proto.Int32(2)
	tabletop := press(pb.Class_CLASS_TABLETOP_PLATEN, &pb.PressDetail{Chase: rect(6, 9)})
	tabletop.Weight = weight(100*KgPerPound, 100*KgPerPound, 0)
	area, small := 54*mm2PerIn2, 5*mm2PerIn2
	for name, c := range map[string]struct {
		lot       *pb.Lot
		low, high float64
		basis     string
	}{
		"jobber":        {jobber, 700, 1200, "frame of a platen jobber"},
		"weighed":       {weighed, 933, 1010.5, "frame"},
		"stated piece":  {stated, 881.8, 881.8, "as stated"},
		"pair":          {pair, 700, 1200, "frame"},
		"tabletop":      {tabletop, 100, 100, "moved whole"},
		"type":          {metal(&pb.MetalTypeDetail{AreaMm2: &area}), 13.3, 18.6, "one full case"},
		"little type":   {metal(&pb.MetalTypeDetail{AreaMm2: &small}), 1.23, 1.72, "one full case"},
		"unknown type":  {metal(nil), 33, 112, "one full case"},
		"wood":          {wood(nil), 15, 52, "one drawer"},
		"cabinet":       {general(pb.Kind_KIND_CABINETS, pb.Class_CLASS_TYPE_CABINET, &pb.GeneralDetail{Cases: proto.Int32(24)}), 100, 220, "emptied of its cases"},
		"case":          {general(pb.Kind_KIND_CABINETS, pb.Class_CLASS_TYPE_CASE, nil), 8, 112, "one case"},
		"cuts":          {&pb.Lot{Kind: pb.Kind_KIND_CUTS}, 25.5, 51, "one box"},
		"slab":          {general(pb.Kind_KIND_STONES, pb.Class_CLASS_IMPOSING_STONE, &pb.GeneralDetail{WorkingSize: rect(24, 36), ThicknessMm: proto.Float64(50.8)}), 160, 168, "the slab"},
		"stone":         {general(pb.Kind_KIND_STONES, pb.Class_CLASS_IMPOSING_STONE, nil), 150, 2200, "the slab"},
		"stone at all":  {general(pb.Kind_KIND_STONES, 0, nil), 0, 0, ""},
		"some press":    {&pb.Lot{Kind: pb.Kind_KIND_PRESS, Weight: weight(1000*KgPerPound, 1000*KgPerPound, 0)}, 300, 1000, "its class is not known"},
		"some cabinet":  {&pb.Lot{Kind: pb.Kind_KIND_CABINETS, Weight: weight(500*KgPerPound, 500*KgPerPound, 0)}, 8, 500, "its class is not known"},
		"bindery":       {&pb.Lot{Kind: pb.Kind_KIND_BINDERY, Weight: weight(300*KgPerPound, 300*KgPerPound, 0), Count: proto.Int32(3)}, 100, 100, "moved whole"},
		"nothing known": {&pb.Lot{Kind: pb.Kind_KIND_OTHER}, 0, 0, ""},
	} {
		e := HeaviestPiece(c.lot)
		low, high := e.LowKg/KgPerPound, e.HighKg/KgPerPound
		if !close2(low, c.low, 0.006*c.low) || !close2(high, c.high, 0.006*c.high) || !strings.Contains(e.Basis, c.basis) || e.Known != (c.high > 0) {
			t.Errorf("%s: %.4g to %.4g lb (%s), want %v to %v (%s)", name, low, high, e.Basis, c.low, c.high, c.basis)
		}
	}
}

// drawMachine draws a machine of a class with planning figures, sized or not.
func drawMachine(t *rapid.T) *pb.Lot {
	c := rapid.SampledFrom(Classes()).Filter(func(c pb.Class) bool { return len(Plans(c)) > 0 }).Draw(t, "class")
	lot := &pb.Lot{Kind: KindOf(c), Class: c}
	if rapid.Bool().Draw(t, "sized") {
		setGoverning(lot, rapid.Float64Range(2, 60).Draw(t, "inches")*MmPerInch)
	}
	return lot
}

// TestPieceWithinItsEstimate: whatever a machine turns out to weigh within its
// estimate, its heaviest piece lies within the estimate of that, is not more than
// the whole, and never falls as the whole grows.
func TestPieceWithinItsEstimate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := drawMachine(t)
		whole, piece := WeightOf(lot), HeaviestPiece(lot)
		if !(whole.LowKg <= whole.HighKg && piece.LowKg <= piece.HighKg && piece.HighKg <= whole.HighKg) {
			t.Fatalf("%v weighs %+v, its piece %+v", lot, whole, piece)
		}
		at := func(share float64) Estimate {
			kg := whole.LowKg + share*(whole.HighKg-whole.LowKg)
			l := proto.CloneOf(lot)
			l.Weight = weight(kg, kg, pb.Grounds_GROUNDS_MEASURED)
			p := HeaviestPiece(l)
			if p.LowKg < piece.LowKg*(1-1e-9) || p.HighKg > piece.HighKg*(1+1e-9) || p.HighKg > kg*(1+1e-9) {
				t.Fatalf("%v: of %v kg the piece is %+v, beyond %+v", lot, kg, p, piece)
			}
			return p
		}
		a, b := rapid.Float64Range(0, 1).Draw(t, "a"), rapid.Float64Range(0, 1).Draw(t, "b")
		lighter, heavier := at(min(a, b)), at(max(a, b))
		if heavier.LowKg < lighter.LowKg || heavier.HighKg < lighter.HighKg {
			t.Fatalf("%v: the heavier has the lighter piece: %+v, %+v", lot, lighter, heavier)
		}
	})
}

// TestLargerWeighsNoLess: neither end of an estimate falls as a machine grows.
func TestLargerWeighsNoLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		small := drawMachine(t)
		a, b := rapid.Float64Range(2, 60).Draw(t, "a"), rapid.Float64Range(2, 60).Draw(t, "b")
		large := proto.CloneOf(small)
		setGoverning(small, min(a, b)*MmPerInch)
		setGoverning(large, max(a, b)*MmPerInch)
		s, l := WeightOf(small), WeightOf(large)
		if l.LowKg < s.LowKg || l.HighKg < s.HighKg {
			t.Fatalf("%v weighs %+v, the larger %v %+v", small, s, large, l)
		}
	})
}

func TestEstimateAsWeight(t *testing.T) {
	if w := (Estimate{}).Weight(); w != nil {
		t.Errorf("what is not known became %v", w)
	}
	w := WeightOf(press(pb.Class_CLASS_PLATEN_JOBBER, &pb.PressDetail{Chase: rect(10, 15)})).Weight()
	if got := FormatWeight(w, US); got != "1,200 to 1,900 lb, estimated (platen jobber, 10x15 chase)" {
		t.Errorf("shown as %q", got)
	}
	if w := saidWeight(weight(5, 5, 0)).Weight(); w.GetMassKg() != 5 || w.LowKg != nil {
		t.Errorf("a single figure became %v", w)
	}
}
