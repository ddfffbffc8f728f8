package rigging

import (
	"testing"

	"pgregory.net/rapid"
)

func TestTiedownsNeverFall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length, mass := rapid.Float64Range(0, 20_000).Draw(t, "length"), rapid.Float64Range(0, 20_000).Draw(t, "mass")
		longer, heavier := length+rapid.Float64Range(0, 10_000).Draw(t, "longer"), mass+rapid.Float64Range(0, 10_000).Draw(t, "heavier")
		blocked := rapid.Bool().Draw(t, "blocked")
		few, many := TiedownCount(length, mass, blocked), TiedownCount(longer, heavier, blocked)
		if few > many || few < 1 {
			t.Errorf("%d for the shorter and lighter, %d for the other", few, many)
		}
		if free := TiedownCount(length, mass, false); free < TiedownCount(length, mass, true) {
			t.Errorf("%d unblocked is less than blocked", free)
		}
		if NeededKg(mass) > NeededKg(heavier) {
			t.Error("the heavier needs less")
		}
	})
}

func drawLift(t *rapid.T) Lift {
	hands := func(name string) Hands {
		return Hands{
			rapid.Float64Range(0, 80).Draw(t, name+" h"), rapid.Float64Range(0, 200).Draw(t, name+" v"), rapid.Float64Range(0, 180).Draw(t, name+" a"),
		}
	}
	return Lift{
		Form: Form(rapid.IntRange(0, 1).Draw(t, "form")), Origin: hands("origin"), Destination: hands("destination"),
		PerMinute: rapid.Float64Range(0, 20).Draw(t, "often"), Spell: Spell(rapid.IntRange(0, 2).Draw(t, "spell")),
		Coupling: Coupling(rapid.IntRange(0, 2).Draw(t, "coupling")),
	}
}

func TestLimitNeverRisesWithDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLift(t)
		rounding := Rounding(rapid.IntRange(0, 1).Draw(t, "rounding"))
		near, err := l.AtOrigin(rounding)
		if err != nil {
			t.Fatal(err)
		}
		l.Origin.Horizontal += rapid.Float64Range(0, 30).Draw(t, "farther")
		far, _ := l.AtOrigin(rounding)
		if far.RWL > near.RWL {
			t.Errorf("%v near, %v far", near.RWL, far.RWL)
		}
		if load := equations[l.Form].load; near.RWL < 0 || near.RWL > load {
			t.Errorf("a limit of %v", near.RWL)
		}
	})
}

func TestLimitNeverRisesWithFrequencyOrTwist(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLift(t)
		before, err := l.AtOrigin(Exact)
		if err != nil {
			t.Fatal(err)
		}
		l.PerMinute += rapid.Float64Range(0, 5).Draw(t, "oftener")
		l.Origin.TwistDeg = min(l.Origin.TwistDeg+rapid.Float64Range(0, 90).Draw(t, "twisted"), 180)
		if after, _ := l.AtOrigin(Exact); after.RWL > before.RWL {
			t.Errorf("%v before, %v after", before.RWL, after.RWL)
		}
	})
}

func TestTensionNeverFallsAsTheAngleDoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Sling{
			Legs: rapid.IntRange(1, 4).Draw(t, "legs"), Deg: rapid.Float64Range(LeastSlingDeg, 90).Draw(t, "deg"),
			Rigid: rapid.Bool().Draw(t, "rigid"), Chain: rapid.Bool().Draw(t, "chain"),
		}
		mass := rapid.Float64Range(0, 10_000).Draw(t, "mass")
		steep, err := s.LegKg(mass)
		if err != nil {
			t.Fatal(err)
		}
		s.Deg = rapid.Float64Range(LeastSlingDeg, s.Deg).Draw(t, "flatter")
		if flat, _ := s.LegKg(mass); flat < steep {
			t.Errorf("%v steep, %v flat", steep, flat)
		}
		if steep < mass/float64(s.Legs) {
			t.Errorf("a leg pulls %v of %v", steep, mass)
		}
	})
}

func TestPushNeverFallsWithSlopeOrWeight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Slope{rapid.Float64Range(0, 1).Draw(t, "rise"), rapid.Float64Range(1, 20).Draw(t, "run")}
		mass := rapid.Float64Range(0, 10_000).Draw(t, "mass")
		gentle, err := s.PushKg(mass, rollHigh)
		if err != nil {
			t.Fatal(err)
		}
		// Beyond 1:1 friction falls faster than the climb grows.
		s.Rise = min(s.Rise+rapid.Float64Range(0, 1).Draw(t, "steeper"), s.Run)
		steep, _ := s.PushKg(mass+rapid.Float64Range(0, 100).Draw(t, "heavier"), rollHigh)
		if steep < gentle*(1-hair) {
			t.Errorf("%v up the gentler, %v up the steeper", gentle, steep)
		}
	})
}
