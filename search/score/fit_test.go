package score

import (
	"math"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"

	"google.golang.org/protobuf/proto"
)

func inches(w, h float64) *pb.Rectangle {
	return &pb.Rectangle{WidthMm: w * trade.MmPerInch, HeightMm: h * trade.MmPerInch}
}

// jobber is a platen jobber, complete and in work, of so many pounds.
func jobber(lb float64) *pb.Lot {
	return &pb.Lot{
		Name: "shops/a/lots/1", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER,
		Town:      &pb.Town{Label: "Dayton, OH"},
		Weight:    &pb.Weight{MassKg: proto.Float64(lb * trade.KgPerPound), Grounds: pb.Grounds_GROUNDS_MEASURED},
		Condition: pb.Condition_CONDITION_WORKING,
		Parts:     &pb.Parts{RestComplete: true},
		Size:      &pb.Size{WidthMm: proto.Float64(1168), DepthMm: proto.Float64(1270)},
		Detail:    &pb.Lot_Press{Press: &pb.PressDetail{Chase: inches(10, 15)}},
	}
}

// strong is a kit in which everything is known.
func strong() *pb.Kit {
	return &pb.Kit{
		People: proto.Int32(3), DollyKg: proto.Float64(900), PalletJackKg: proto.Float64(2250), HoistKg: proto.Float64(900),
		LiftgateKg: proto.Float64(0), ForkliftKg: proto.Float64(0), VehiclePayloadKg: proto.Float64(2250),
		DoorWidthMm: proto.Float64(1800), Steps: proto.Int32(0), FloorKgPerM2: proto.Float64(1000),
	}
}

func list(kit *pb.Kit) *pb.WantedList {
	return &pb.WantedList{Title: "Test", ReachRoadKm: proto.Float64(480), Kit: kit}
}

func exactly(km float64) *place.Road { return &place.Road{Km: km, LowKm: km, HighKm: km} }

func partOf(t *testing.T, fit *pb.Fit, f pb.Factor) *pb.FitPart {
	t.Helper()
	for _, p := range fit.GetParts() {
		if p.GetFactor() == f {
			return p
		}
	}
	t.Fatalf("%v has no part %v", fit, f)
	return nil
}

func said(t *testing.T, p *pb.FitPart, says ...string) {
	t.Helper()
	all := strings.Join(p.GetReasons(), "; ")
	for _, say := range says {
		if !strings.Contains(all, say) {
			t.Errorf("the reasons are %q, want %q among them", all, say)
		}
	}
}

// TestEverythingKnown: with nothing unknown, low, score and high are one figure,
// and there is nothing to ask.
func TestEverythingKnown(t *testing.T) {
	lot := jobber(1500)
	lot.GetPress().HeaviestPieceKg = proto.Float64(420)
	fit := Lot(list(strong()), &pb.Want{}, lot, exactly(240))
	if fit.GetLow() != fit.GetScore() || fit.GetHigh() != fit.GetScore() || len(fit.GetQuestions()) != 0 {
		t.Errorf("everything is known, and the fit is %v", fit)
	}
	wants := []float64{50, 100 / (1 + 1500*trade.KgPerPound/2000) * (.1 + .9/(1+sq(420./900/2))) * (.3 + .7/(1+sq(1500*trade.KgPerPound/2250/2))), 100}
	for i, p := range fit.GetParts() {
		if p.GetFactor() != pb.Factor(i+1) || math.Abs(p.GetScore()-wants[i]) > 1e-9 || math.Abs(p.GetWeight()-1./3) > 1e-12 {
			t.Errorf("part %d is %v, want %v", i, p, wants[i])
		}
	}
	if want := (wants[0] + wants[1] + wants[2]) / 3; math.Abs(fit.GetScore()-want) > 1e-9 {
		t.Errorf("the fit is %v, want %v", fit.GetScore(), want)
	}
}

func sq(v float64) float64 { return v * v }

// TestNothingKnown: with nothing at all known the fit is wide, but finite.
func TestNothingKnown(t *testing.T) {
	for _, fit := range []*pb.Fit{Lot(nil, nil, nil, nil), Lot(&pb.WantedList{}, &pb.Want{}, &pb.Lot{}, nil)} {
		if fit.GetLow() > 1 || fit.GetHigh() != 100 || fit.GetScore() < 20 || fit.GetScore() > 80 {
			t.Errorf("nothing is known, and the fit is %v", fit)
		}
		if len(fit.GetQuestions()) == 0 || len(fit.GetQuestions()) > 3 || fit.GetQuestions()[0] != "Which town is it in?" {
			t.Errorf("it asks %q", fit.GetQuestions())
		}
	}
}

func TestDistance(t *testing.T) {
	for km, want := range map[float64]float64{0: 100, 240: 50, 480: 20, 960: 100. / 17} {
		p := partOf(t, Lot(list(nil), nil, jobber(1), exactly(km)), pb.Factor_FACTOR_DISTANCE)
		if math.Abs(p.GetScore()-want) > 1e-9 || p.GetLow() != p.GetScore() || p.GetHigh() != p.GetScore() {
			t.Errorf("%v km scores %v, want %v", km, p, want)
		}
	}
	p := partOf(t, Lot(list(nil), nil, nil, &place.Road{Km: 240, LowKm: 200, HighKm: 300}), pb.Factor_FACTOR_DISTANCE)
	if math.Abs(p.GetLow()-100/(1+4*sq(300./480))) > 1e-9 || math.Abs(p.GetHigh()-100/(1+4*sq(200./480))) > 1e-9 {
		t.Errorf("a road of 200 to 300 km scores %v", p)
	}
	said(t, p, "about 149 mi (240 km) by road, of the 298 mi (480 km) you will drive")
	p = partOf(t, Lot(list(nil), nil, nil, exactly(500)), pb.Factor_FACTOR_DISTANCE)
	said(t, p, "about 311 mi (500 km) by road, beyond the 298 mi (480 km) you will drive")
	p = partOf(t, Lot(nil, nil, nil, exactly(800)), pb.Factor_FACTOR_DISTANCE)
	if said(t, p, "about 497 mi (800 km) by road"); math.Abs(p.GetScore()-20) > 0.2 {
		t.Errorf("500 miles for who will drive any distance scores %v", p.GetScore())
	}
	p = partOf(t, Lot(list(nil), nil, nil, &place.Road{Km: 9000, LowKm: 8000, HighKm: 9900, None: true}), pb.Factor_FACTOR_DISTANCE)
	if said(t, p, "no way to it by road"); p.GetHigh() != 0 {
		t.Errorf("no road scores %v", p)
	}
	p = partOf(t, Lot(list(nil), nil, nil, exactly(math.NaN())), pb.Factor_FACTOR_DISTANCE)
	if p.GetLow() != 0 || p.GetScore() != 0 || p.GetHigh() != 0 {
		t.Errorf("what is no distance scores %v", p)
	}
	p = partOf(t, Lot(list(nil), nil, nil, nil), pb.Factor_FACTOR_DISTANCE)
	if said(t, p, "is not known"); p.GetLow() != 0 || p.GetScore() != 50 || p.GetHigh() != 100 {
		t.Errorf("an unknown road scores %v", p)
	}
}

// TestRiggingByKit: what each piece of kit is good for.
func TestRiggingByKit(t *testing.T) {
	const kg = 300.
	lot := &pb.Lot{Kind: pb.Kind_KIND_BINDERY, Weight: &pb.Weight{MassKg: proto.Float64(kg)}}
	bare := func(change func(*pb.Kit)) float64 {
		k := strong()
		k.People, k.DollyKg, k.PalletJackKg, k.HoistKg = proto.Int32(0), proto.Float64(0), proto.Float64(0), proto.Float64(0)
		change(k)
		return partOf(t, Lot(list(k), nil, lot, nil), pb.Factor_FACTOR_RIGGING).GetScore()
	}
	rest := labour(kg) * (.3 + .7/(1+sq(kg/2250/2))) * 100
	for name, c := range map[string]struct {
		change func(*pb.Kit)
		c      float64
	}{
		"nothing":            {func(*pb.Kit) {}, 0},
		"two people":         {func(k *pb.Kit) { k.People = proto.Int32(2) }, 46},
		"dolly alone":        {func(k *pb.Kit) { k.DollyKg = proto.Float64(500) }, 0},
		"hoist alone":        {func(k *pb.Kit) { k.HoistKg = proto.Float64(500) }, 0},
		"dolly and hoist":    {func(k *pb.Kit) { k.DollyKg, k.HoistKg = proto.Float64(500), proto.Float64(400) }, 400},
		"jack and liftgate":  {func(k *pb.Kit) { k.PalletJackKg, k.LiftgateKg = proto.Float64(700), proto.Float64(800) }, 700},
		"dolly, ramp, one":   {func(k *pb.Kit) { k.DollyKg, k.People = proto.Float64(500), proto.Int32(1) }, rampKg},
		"dolly, ramp, three": {func(k *pb.Kit) { k.DollyKg, k.People = proto.Float64(500), proto.Int32(3) }, 500},
		"forklift":           {func(k *pb.Kit) { k.ForkliftKg = proto.Float64(1500) }, 1500},
	} {
		want := rest * .1
		if c.c > 0 {
			want = rest * (.1 + .9/(1+sq(kg/c.c/2)))
		}
		if got := bare(c.change); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

// TestRampFigure: 1,000 lb on a ramp of 1 in 12 with a friction of 0.02 takes
// 103.0 lb (a check value reckoned from the formula).
func TestRampFigure(t *testing.T) {
	a := math.Atan(1. / 12)
	if push := 1000 * (math.Sin(a) + .02*math.Cos(a)); math.Abs(push-103) > .05 || math.Abs(rampKg-50/push*1000*trade.KgPerPound) > .1 {
		t.Errorf("the ramp takes %v lb, one person pushes %v kg", push, rampKg)
	}
}

func TestRiggingReasons(t *testing.T) {
	heavy := jobber(1500)
	for _, c := range []struct {
		name string
		lot  *pb.Lot
		kit  func(*pb.Kit)
		says []string
	}{
		{"strong", heavy, func(*pb.Kit) {}, []string{"1,500 lb (680 kg) in all, weighed", "within the 1,984 lb (900 kg) that your kit handles"}},
		{"beyond", heavy, func(k *pb.Kit) { k.DollyKg, k.PalletJackKg = proto.Float64(0), proto.Float64(0) }, []string{"beyond the 152 lb (69 kg) that your kit handles: reckon with hired help"}},
		{"about", heavy, func(k *pb.Kit) { k.HoistKg, k.People = proto.Float64(420), proto.Int32(0) }, []string{"about what your kit handles: 926 lb (420 kg)"}},
		{"loads", heavy, func(k *pb.Kit) { k.VehiclePayloadKg = proto.Float64(300) }, []string{"3 loads for a payload of 661 lb (300 kg)"}},
		{"door", heavy, func(k *pb.Kit) { k.DoorWidthMm = proto.Float64(900) }, []string{"45.98 in (1,168 mm) wide is too wide for a door of 35.43 in (900 mm)"}},
		{"door, parts off", heavy, func(k *pb.Kit) { k.DoorWidthMm = proto.Float64(1180) }, []string{"only with parts off"}},
		{"steps", jobber(1900), func(k *pb.Kit) { k.Steps = proto.Int32(11) }, []string{"steps on the way in: 11", "professional riggers"}},
		{"no vehicle", heavy, func(k *pb.Kit) { k.VehiclePayloadKg = proto.Float64(0) }, []string{"you have no vehicle for it"}},
		{"floor", heavy, func(k *pb.Kit) { k.FloorKgPerM2 = proto.Float64(244) }, []string{"459 kg/m² where it stands, on a floor rated for 244"}},
		{"riggers", jobber(5000), func(*pb.Kit) {}, []string{"professional riggers"}},
		{"doubt", jobber(150), func(*pb.Kit) {}, []string{"question the weight: 150 lb is far from"}},
		{"unsaid", heavy, func(k *pb.Kit) { k.Steps, k.DollyKg = nil, nil }, []string{"your kit does not say: dolly, steps"}},
		{"light", &pb.Lot{Kind: pb.Kind_KIND_SPACING, Weight: &pb.Weight{MassKg: proto.Float64(20)}}, func(*pb.Kit) {}, []string{"(one box), which one person carries"}},
		{"unknown", &pb.Lot{Kind: pb.Kind_KIND_OTHER}, func(*pb.Kit) {}, []string{"its weight is not known"}},
		{"stated", &pb.Lot{Kind: pb.Kind_KIND_OTHER, Weight: &pb.Weight{MassKg: proto.Float64(10)}}, func(*pb.Kit) {}, []string{"22 lb (10 kg) in all, as stated"}},
		{"estimated", &pb.Lot{Kind: pb.Kind_KIND_CASTERS, Class: pb.Class_CLASS_LINE_CASTER}, func(*pb.Kit) {}, []string{"2,400 to 4,500 lb (1,089 to 2,041 kg) in all, estimated from line caster", "frame of a line caster"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := strong()
			c.kit(k)
			said(t, partOf(t, Lot(list(k), nil, c.lot, nil), pb.Factor_FACTOR_RIGGING), c.says...)
		})
	}
	said(t, partOf(t, Lot(list(nil), nil, heavy, nil), pb.Factor_FACTOR_RIGGING), "within the 971 lb (440 kg) that two people with a dolly handle", "your kit does not say: people, dolly, pallet jack, hoist, liftgate, forklift, vehicle payload, door width, steps, floor")
}

// TestHeavyIsNotRuledOut: a press for riggers keeps a score above nothing, and a
// boxed lot does not care about the door.
func TestHeavyIsNotRuledOut(t *testing.T) {
	bare := &pb.Kit{People: proto.Int32(1), DollyKg: proto.Float64(0), PalletJackKg: proto.Float64(0), HoistKg: proto.Float64(0), LiftgateKg: proto.Float64(0), ForkliftKg: proto.Float64(0), VehiclePayloadKg: proto.Float64(100), DoorWidthMm: proto.Float64(700), Steps: proto.Int32(11), FloorKgPerM2: proto.Float64(100)}
	if p := partOf(t, Lot(list(bare), nil, jobber(20_000), nil), pb.Factor_FACTOR_RIGGING); !(p.GetLow() > 0) {
		t.Errorf("ten tons score %v", p)
	}
	boxes := &pb.Lot{Kind: pb.Kind_KIND_SPACING, Weight: &pb.Weight{MassKg: proto.Float64(50)}}
	narrow, wide := strong(), strong()
	narrow.DoorWidthMm, narrow.FloorKgPerM2 = proto.Float64(300), proto.Float64(1)
	a, b := partOf(t, Lot(list(narrow), nil, boxes, nil), pb.Factor_FACTOR_RIGGING), partOf(t, Lot(list(wide), nil, boxes, nil), pb.Factor_FACTOR_RIGGING)
	if a.GetScore() != b.GetScore() {
		t.Errorf("boxes go through a narrow door worse: %v, %v", a, b)
	}
}

func TestCompletenessPart(t *testing.T) {
	lot := jobber(1500)
	lot.Parts = &pb.Parts{Missing: []string{"rollers"}, RestComplete: true}
	p := partOf(t, Lot(nil, &pb.Want{MustHave: []string{"rollers"}}, lot, nil), pb.Factor_FACTOR_COMPLETENESS)
	want := 100 * trade.Completeness(lot, []string{"rollers"}, "").Mid
	if said(t, p, "49 percent of it is there", "lacks rollers, which must be there"); p.GetScore() != want {
		t.Errorf("completeness is %v, want %v", p, want)
	}
	lot.Parts = nil
	said(t, partOf(t, Lot(nil, nil, lot, nil), pb.Factor_FACTOR_COMPLETENESS), "79 percent of it, from 59 to 100")
}

func TestWeights(t *testing.T) {
	for _, c := range []struct {
		weights *pb.FitWeights
		want    [3]float64
	}{
		{nil, [3]float64{1. / 3, 1. / 3, 1. / 3}},
		{&pb.FitWeights{Completeness: proto.Float64(2)}, [3]float64{.25, .25, .5}},
		{&pb.FitWeights{Distance: proto.Float64(0), Rigging: proto.Float64(0), Completeness: proto.Float64(7)}, [3]float64{0, 0, 1}},
		{&pb.FitWeights{Distance: proto.Float64(0), Rigging: proto.Float64(0), Completeness: proto.Float64(0)}, [3]float64{1. / 3, 1. / 3, 1. / 3}},
		{&pb.FitWeights{Distance: proto.Float64(-5), Rigging: proto.Float64(math.NaN()), Completeness: proto.Float64(math.Inf(1))}, [3]float64{0, 1. / 101, 100. / 101}},
	} {
		fit := Lot(&pb.WantedList{Weights: c.weights}, nil, nil, nil)
		for i, p := range fit.GetParts() {
			if math.Abs(p.GetWeight()-c.want[i]) > 1e-12 {
				t.Errorf("%v: part %d weighs %v, want %v", c.weights, i, p.GetWeight(), c.want[i])
			}
		}
	}
}
