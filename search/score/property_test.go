package score

import (
	"math"
	"slices"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"
)

func maybe[T any](t *rapid.T, name string, gen *rapid.Generator[T]) *T {
	if !rapid.Bool().Draw(t, "has "+name) {
		return nil
	}
	v := gen.Draw(t, name)
	return &v
}

func drawKit(t *rapid.T) *pb.Kit {
	kg := rapid.OneOf(rapid.Just(0.), rapid.Float64Range(0, 5000))
	return &pb.Kit{
		People: maybe(t, "people", rapid.Int32Range(0, 8)), DollyKg: maybe(t, "dolly", kg), PalletJackKg: maybe(t, "jack", kg), HoistKg: maybe(t, "hoist", kg),
		LiftgateKg: maybe(t, "liftgate", kg), ForkliftKg: maybe(t, "forklift", kg), VehiclePayloadKg: maybe(t, "payload", kg),
		DoorWidthMm: maybe(t, "door", rapid.Float64Range(400, 3000)), Steps: maybe(t, "steps", rapid.Int32Range(0, 30)), FloorKgPerM2: maybe(t, "floor", rapid.Float64Range(50, 3000)),
	}
}

func drawList(t *rapid.T) *pb.WantedList {
	share := rapid.Float64Range(0, 10)
	return &pb.WantedList{
		Kit: drawKit(t), ReachRoadKm: maybe(t, "reach", rapid.Float64Range(1, 5000)),
		Weights: &pb.FitWeights{Distance: maybe(t, "w distance", share), Rigging: maybe(t, "w rigging", share), Completeness: maybe(t, "w completeness", share)},
	}
}

func drawWant(t *rapid.T) *pb.Want {
	return &pb.Want{
		MustHave:  rapid.SliceOfN(rapid.SampledFrom([]string{"rollers", "flywheel", "figures"}), 0, 2).Draw(t, "must"),
		TextToSet: rapid.SampledFrom([]string{"", "LANTERN FESTIVAL", "office 1926"}).Draw(t, "text"),
	}
}

func drawLot(t *rapid.T) *pb.Lot {
	lot := &pb.Lot{Kind: rapid.SampledFrom(trade.Kinds()).Draw(t, "kind"), Count: maybe(t, "count", rapid.Int32Range(1, 4)), Condition: pb.Condition(rapid.IntRange(0, 4).Draw(t, "condition"))}
	if classes := trade.ClassesOf(lot.Kind); len(classes) > 0 {
		lot.Class = rapid.SampledFrom(append(slices.Clone(classes), 0)).Draw(t, "class")
	}
	sizes := map[pb.Kind][]string{
		pb.Kind_KIND_PRESS: {"", "8x12", "12x18", "20x26"}, pb.Kind_KIND_METAL_TYPE: {"", "12pt", "48pt"}, pb.Kind_KIND_WOOD_TYPE: {"", "12 line"},
		pb.Kind_KIND_CUTTERS: {"", "26 in"}, pb.Kind_KIND_STONES: {"", "24x36", "24x36x2"}, pb.Kind_KIND_CABINETS: {"", "24 cases"},
	}[lot.Kind]
	if len(sizes) > 0 {
		lot.SizeAsWritten = rapid.SampledFrom(sizes).Draw(t, "size")
	}
	if err := trade.FillDetail(lot); err != nil {
		t.Fatal(err)
	}
	drawFacts(t, lot)
	return lot
}

func drawFacts(t *rapid.T, lot *pb.Lot) {
	mass := rapid.Float64Range(1, 20_000)
	if kg := maybe(t, "mass", mass); kg != nil {
		lot.Weight = &pb.Weight{MassKg: kg}
	}
	if p := lot.GetPress(); p != nil {
		p.HeaviestPieceKg = maybe(t, "piece", rapid.Float64Range(1, 1000))
	}
	if d := lot.GetMetalType(); d != nil {
		d.Scheme = rapid.SampledFrom([]string{"", "8A 10a"}).Draw(t, "scheme")
		d.Cases = maybe(t, "cases", rapid.Float64Range(0.5, 20))
	}
	if d := lot.GetWoodType(); d != nil {
		d.Scheme = rapid.SampledFrom([]string{"", "3A"}).Draw(t, "scheme")
		d.Pieces = maybe(t, "pieces", rapid.Int32Range(0, 200))
	}
	if rapid.Bool().Draw(t, "has size") {
		side := rapid.Float64Range(100, 3000)
		lot.Size = &pb.Size{WidthMm: proto.Float64(side.Draw(t, "width")), DepthMm: proto.Float64(side.Draw(t, "depth"))}
	}
	if rapid.Bool().Draw(t, "has parts") {
		parts := rapid.SliceOfN(rapid.SampledFrom([]string{"rollers", "flywheel", "chase", "K", "name plate"}), 0, 3)
		lot.Parts = &pb.Parts{Missing: parts.Draw(t, "missing"), OnHand: parts.Draw(t, "on hand"), RestComplete: rapid.Bool().Draw(t, "checked")}
	}
}

func drawRoad(t *rapid.T) *place.Road {
	if !rapid.Bool().Draw(t, "has road") {
		return nil
	}
	km := rapid.Float64Range(0, 6000).Draw(t, "km")
	return &place.Road{Km: km, LowKm: km * rapid.Float64Range(0.7, 1).Draw(t, "low"), HighKm: km * rapid.Float64Range(1, 1.5).Draw(t, "high"), None: rapid.IntRange(0, 9).Draw(t, "none") == 0}
}

// slack is what the last bits of a sum may differ by.
const slack = 1e-9

func inOrder(t *rapid.T, low, score, high float64) {
	if !(0 <= low && low <= score && score <= high && high <= 100) {
		t.Fatalf("low %v, score %v, high %v", low, score, high)
	}
}

// TestFitIsSound: 0 <= low <= score <= high <= 100, every number finite, shares
// that add up to 1, at most three questions; and the same inputs give the same fit.
func TestFitIsSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, want, lot, road := drawList(t), drawWant(t), drawLot(t), drawRoad(t)
		fit := Lot(list, want, lot, road)
		inOrder(t, fit.GetLow(), fit.GetScore(), fit.GetHigh())
		shares := 0.0
		for i, p := range fit.GetParts() {
			inOrder(t, p.GetLow(), p.GetScore(), p.GetHigh())
			if shares += p.GetWeight(); p.GetFactor() != pb.Factor(i+1) || len(p.GetReasons()) == 0 {
				t.Fatalf("part %d is %v", i, p)
			}
		}
		if math.Abs(shares-1) > slack || len(fit.GetQuestions()) > 3 {
			t.Fatalf("the fit is %v", fit)
		}
		again := Lot(proto.CloneOf(list), proto.CloneOf(want), proto.CloneOf(lot), road)
		if !proto.Equal(fit, again) {
			t.Fatalf("the same inputs give %v and %v", fit, again)
		}
	})
}

// never checks that a lot that is worse in one thing has no better fit.
func never(t *rapid.T, better, worse *pb.Fit) {
	for _, pair := range [][2]float64{{better.GetScore(), worse.GetScore()}, {better.GetLow(), worse.GetLow()}, {better.GetHigh(), worse.GetHigh()}} {
		if pair[1] > pair[0]+slack {
			t.Fatalf("worse is better:\n%v\n%v", better, worse)
		}
	}
}

func TestFartherIsNeverBetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, want, lot := drawList(t), drawWant(t), drawLot(t)
		a, b := rapid.Float64Range(0, 20_000).Draw(t, "a"), rapid.Float64Range(0, 20_000).Draw(t, "b")
		road := func(km float64) *place.Road { return &place.Road{Km: km, LowKm: km * .9, HighKm: km * 1.2} }
		near, far := fitOf(list, want, lot, road(min(a, b))), fitOf(list, want, lot, road(max(a, b)))
		never(t, near, far)
		// Strictly, unless distance does not count or the two are one place.
		if n, f := near.GetParts()[0].GetScore(), far.GetParts()[0].GetScore(); math.Abs(a-b) > 1 && f >= n {
			t.Fatalf("%v km scores %v, %v km %v", min(a, b), n, max(a, b), f)
		}
		never(t, far, fitOf(list, want, lot, &place.Road{Km: b, None: true}))
	})
}

func TestHeavierIsNeverBetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, want, lot, road := drawList(t), drawWant(t), drawLot(t), drawRoad(t)
		weighing := func(kg float64) *pb.Fit {
			l := proto.CloneOf(lot)
			l.Weight = &pb.Weight{MassKg: &kg}
			return fitOf(list, want, l, road)
		}
		a, b := rapid.Float64Range(0.1, 50_000).Draw(t, "a"), rapid.Float64Range(0.1, 50_000).Draw(t, "b")
		light, heavy := weighing(min(a, b)), weighing(max(a, b))
		never(t, light, heavy)
		if l, h := light.GetParts()[1].GetScore(), heavy.GetParts()[1].GetScore(); math.Abs(a-b) > 1 && h >= l {
			t.Fatalf("%v kg scores %v, %v kg %v", min(a, b), l, max(a, b), h)
		}
	})
}

// TestHeavierPieceIsNeverBetter: the same for the heaviest piece.
func TestHeavierPieceIsNeverBetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, want, road := drawList(t), drawWant(t), drawRoad(t)
		a, b := rapid.Float64Range(1, 2000).Draw(t, "a"), rapid.Float64Range(1, 2000).Draw(t, "b")
		of := func(kg float64) *pb.Fit {
			lot := jobber(3000)
			lot.GetPress().HeaviestPieceKg = &kg
			return fitOf(list, want, lot, road)
		}
		never(t, of(min(a, b)), of(max(a, b)))
	})
}

func TestLessCompleteIsNeverBetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, want, lot, road := drawList(t), drawWant(t), drawLot(t), drawRoad(t)
		worse := proto.CloneOf(lot)
		if worse.Parts == nil {
			worse.Parts = &pb.Parts{}
		}
		worse.Parts.Missing = append(worse.Parts.Missing, rapid.SampledFrom([]string{"rollers", "flywheel", "E", "figures", "a bolt"}).Draw(t, "part"))
		never(t, fitOf(list, want, lot, road), fitOf(list, want, worse, road))
	})
}

// TestCompletionsLieWithin: every unknown of the lot, of the kit and of the road
// is filled in, one after another and in any way; each time the new low and high,
// and so the score, lie within the old.
func TestCompletionsLieWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, want, lot, road := drawList(t), drawWant(t), drawLot(t), drawRoad(t)
		fit := fitOf(list, want, lot, road)
		narrower := func() {
			after := fitOf(list, want, lot, road)
			if after.GetLow() < fit.GetLow()-slack || after.GetHigh() > fit.GetHigh()+slack {
				t.Fatalf("%v\nbecame\n%v\nfor %v with %v", fit, after, lot, list.GetKit())
			}
			fit = after
		}
		for range 6 {
			unknowns := trade.Unknowns(lot, want.GetMustHave(), want.GetTextToSet())
			if len(unknowns) == 0 {
				break
			}
			lot = rapid.SampledFrom(rapid.SampledFrom(unknowns).Draw(t, "question").Answers()).Draw(t, "answer")
			narrower()
		}
		filled := drawKit(t)
		proto.Merge(filled, list.GetKit())
		list.Kit = filled
		narrower()
		if road == nil {
			road = drawRoad(t)
		} else {
			km := rapid.Float64Range(road.LowKm, road.HighKm).Draw(t, "km in truth")
			road = &place.Road{Km: km, LowKm: km, HighKm: km, None: road.None}
		}
		narrower()
	})
}

// TestWeightWithinEstimateLiesWithin: the scale says anything within the estimate.
func TestWeightWithinEstimateLiesWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, want, lot := drawList(t), drawWant(t), drawLot(t)
		lot.Weight = nil
		e := trade.WeightOf(lot)
		low, high := e.LowKg, e.HighKg
		if !e.Known {
			low, high = 0.1, heaviestKg
		}
		fit := fitOf(list, want, lot, nil)
		kg := rapid.Float64Range(low, high).Draw(t, "kg")
		lot.Weight = &pb.Weight{MassKg: &kg, Grounds: pb.Grounds_GROUNDS_MEASURED}
		after := fitOf(list, want, lot, nil)
		if after.GetLow() < fit.GetLow()-slack || after.GetHigh() > fit.GetHigh()+slack {
			t.Fatalf("of %v kg, within %v to %v: %v\nwas %v", kg, low, high, after, fit)
		}
	})
}

// TestQuestionsNarrowMost: the questions are those that narrow the fit most, most
// first, and no question that would narrow it more was left out.
func TestQuestionsNarrowMost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, want, lot := drawList(t), drawWant(t), drawLot(t)
		road := &place.Road{Km: 100, LowKm: 90, HighKm: 120}
		fit := Lot(list, want, lot, road)
		gains := map[string]float64{}
		for _, u := range trade.Unknowns(lot, want.GetMustHave(), want.GetTextToSet()) {
			answers, after := u.Answers(), 0.0
			for _, l := range answers {
				f := fitOf(list, want, l, road)
				after += f.GetHigh() - f.GetLow()
			}
			gains[u.Question] = fit.GetHigh() - fit.GetLow() - after/float64(len(answers))
		}
		last := math.Inf(1)
		for _, q := range fit.GetQuestions() {
			gain, known := gains[q]
			if !known || gain > last+slack || gain < leastGain-slack {
				t.Fatalf("%q gains %v after one that gains %v", q, gain, last)
			}
			last = gain
			delete(gains, q)
		}
		for q, gain := range gains {
			if gain > last+slack || len(fit.GetQuestions()) < 3 && gain > leastGain+slack {
				t.Fatalf("%q gains %v and was left out of %q", q, gain, fit.GetQuestions())
			}
		}
	})
}

// TestAnAnswerChangesWhatItSays: what is reckoned of a lot with an answer filled in
// is its fit, though only what the answer is about was reckoned again.
func TestAnAnswerChangesWhatItSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, want, lot, road := drawList(t), drawWant(t), drawLot(t), drawRoad(t)
		s := scoredOf(fitOf(list, want, lot, road), list, want)
		for _, u := range trade.Unknowns(lot, want.GetMustHave(), want.GetTextToSet()) {
			for _, answered := range u.Answers() {
				got, fit := s.answered(u, answered), fitOf(list, want, answered, road)
				if whole := (figures{fit.GetLow(), fit.GetScore(), fit.GetHigh()}); got != whole {
					t.Fatalf("%s: %v, and the fit is %v\n%v", u.Question, got, whole, answered)
				}
			}
		}
	})
}
