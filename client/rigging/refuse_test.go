package rigging

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestLiftsOutOfScopeAreRefused(t *testing.T) {
	for c := OneHand; c <= OverEightHours; c++ {
		l := someLift(InchPound)
		l.Beyond = []Circumstance{c}
		_, err := l.AtOrigin(Exact)
		var scope *ScopeError
		if !errors.As(err, &scope) || len(scope.Reasons) != 1 || scope.Reasons[0] != c.String() {
			t.Errorf("%v: %v", c, err)
		}
	}
	l := someLift(InchPound)
	l.Beyond = []Circumstance{SeveralPeople, Steps}
	_, err := l.AtDestination(AsPrinted)
	want := "the NIOSH lifting equation does not cover two or more people lifting together, steps and ladders"
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	for _, c := range []Circumstance{-1, OverEightHours + 1} {
		if c.String() != "an unknown circumstance" {
			t.Errorf("%d is called %s", c, c)
		}
	}
}

func TestWrongFiguresAreRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	lift := func(change func(*Lift)) error {
		l := someLift(Metric)
		change(&l)
		_, err := l.AtOrigin(Exact)
		return err
	}
	leg := func(s Sling, kg float64) error {
		_, err := s.LegKg(kg)
		return err
	}
	push := func(s Slope, kg, mu float64) error {
		_, err := s.PushKg(kg, mu)
		return err
	}
	patch := func(kg, w, d float64) error {
		_, err := PatchKgPerM2(kg, w, d)
		return err
	}
	axles := func(kg, wheelbase float64) error {
		_, err := Axles(kg, 1, wheelbase)
		return err
	}
	spell := func(n, minutes, of float64) error {
		_, err := PerMinute(n, minutes, of)
		return err
	}
	_, spread := SpreadKgPerM2(1, -1, 1)
	_, small := DefaultLimitKg(Webbing, 20)
	_, none := DefaultLimitKg(Material(99), 20)
	cases := []struct {
		err  error
		want string
	}{
		{lift(func(l *Lift) { l.Origin.Horizontal = -1 }), "horizontal distance at the origin -1: must be a number, 0 or more"},
		{lift(func(l *Lift) { l.Origin.Vertical = nan }), "height at the origin NaN: must be a number, 0 or more"},
		{lift(func(l *Lift) { l.Destination.Vertical = inf }), "height at the destination +Inf: must be a number, 0 or more"},
		{lift(func(l *Lift) { l.Origin.TwistDeg = 181 }), "twist at the origin 181: must be from 0 to 180"},
		{lift(func(l *Lift) { l.PerMinute = -1 }), "lifts a minute -1: must be a number, 0 or more"},
		{lift(func(l *Lift) { l.Form = 7 }), "form 7: must be from 0 to 1"},
		{lift(func(l *Lift) { l.Coupling = 3 }), "coupling 3: must be from 0 to 2"},
		{lift(func(l *Lift) { l.Spell = -1 }), "spell -1: must be from 0 to 2"},
		{leg(Sling{Legs: 2, Deg: 29.9}, 100), "sling angle from the horizontal 29.9: must be from 30 to 90 degrees: below 30 use longer legs or a spreader"},
		{leg(Sling{Legs: 2, Deg: nan}, 100), "sling angle from the horizontal NaN: must be from 30 to 90 degrees: below 30 use longer legs or a spreader"},
		{leg(Sling{Legs: 0, Deg: 60}, 100), "legs of a sling 0: must be from 1 to 4"},
		{leg(Sling{Legs: 2, Deg: 60}, -1), "load in kilograms -1: must be a number, 0 or more"},
		{push(Slope{1, 0}, 1, .02), "run of a slope 0: must be more than 0"},
		{push(Slope{-1, 12}, 1, .02), "rise of a slope -1: must be a number, 0 or more"},
		{push(Slope{1, 12}, 1, 2), "rolling resistance 2: must be from 0 to 1"},
		{patch(1, 0, 5), "patch side in millimetres 0: both sides must be more than 0"},
		{patch(nan, 1, 5), "load in kilograms NaN: must be a number, 0 or more"},
		{spread, "patch side in millimetres -1: both sides must be more than 0"},
		{axles(1, 0), "wheelbase in millimetres 0: must be more than 0"},
		{axles(-1, 1), "load in kilograms -1: must be from 0 to 1e+06"},
		{spell(10, 20, 15), "minutes in all 15: must be from 20 to 480"},
		{small, "size in millimetres of webbing 20: the table begins at 1 3/4 in: give the working load limit on its tag"},
		{none, "size in millimetres of unknown material 20: there is no table for it: give the working load limit on its tag"},
	}
	for _, c := range cases {
		var r *RangeError
		if !errors.As(c.err, &r) || c.err.Error() != c.want {
			t.Errorf("got %v, want %s", c.err, c.want)
		}
	}
	if _, err := FloorUseOf("ballroom"); err == nil || !strings.Contains(err.Error(), "write one of dwelling, garage, office") {
		t.Errorf("got %v", err)
	}
}

func TestDoNotLift(t *testing.T) {
	l := someLift(InchPound)
	l.Origin.Horizontal = 26
	m, err := l.AtOrigin(AsPrinted)
	if err != nil || m.RWL != 0 {
		t.Fatalf("a limit of %v (%v)", m.RWL, err)
	}
	if li, ok := m.Index(10); ok || li != 0 {
		t.Errorf("an index of %v", li)
	}
	if b := m.BandOf(10); b != DoNotLift {
		t.Errorf("band %v", b)
	}
}

func TestBands(t *testing.T) {
	m, err := someLift(InchPound).AtOrigin(Exact)
	if err != nil {
		t.Fatal(err)
	}
	for load, want := range map[float64]Band{51: WithinLimit, 51.1: AboveLimit, 153: AboveLimit, 153.1: FarAboveLimit} {
		if b := m.BandOf(load); b != want {
			t.Errorf("%v lb is in band %v, want %v", load, b, want)
		}
	}
}

func TestGearBetweenSizesCountsAsTheSmaller(t *testing.T) {
	cases := []struct {
		m      Material
		mm, lb float64
	}{
		{Webbing, 50, 2000}, {Webbing, 65, 2000}, {Webbing, 45, 1750}, {Webbing, 300, 4000},
		{Chain70, 8, 4700}, {Chain80, 11, 7100},
	}
	for _, c := range cases {
		kg, err := DefaultLimitKg(c.m, c.mm)
		if err != nil || math.Abs(kg-c.lb*0.45359237) > 1e-9 {
			t.Errorf("%v of %v mm: %v kg (%v), want %v lb", c.m, c.mm, kg, err, c.lb)
		}
	}
}

func TestWeakestPart(t *testing.T) {
	if kg := WeakestKg(1512, 907, 1360); kg != 907 {
		t.Errorf("got %v", kg)
	}
	if kg := WeakestKg(); kg != 0 {
		t.Errorf("nothing holds %v", kg)
	}
}

func TestAxles(t *testing.T) {
	// The rule of the lever: 1,000 kg, 600 mm ahead of the rear axle of 4,000.
	a, err := Axles(1000, 600, 4000)
	if err != nil || a != (AxleShare{150, 850, 0.15}) {
		t.Errorf("got %v (%v)", a, err)
	}
	if a, _ := Axles(1000, -400, 4000); a.FrontKg != -100 || a.RearKg != 1100 {
		t.Errorf("behind the axle: %v", a)
	}
}
