package place

import (
	"errors"
	"slices"
	"testing"
)

// sampled goes through every town, or with -short through one in a few.
func sampled(t *testing.T, visit func(town Town)) {
	step := 1
	if testing.Short() {
		step = 29
	}
	for number := 0; number < gazetteer().Len(); number += step {
		visit(townAt(number))
	}
}

func TestLabelLeadsBack(t *testing.T) {
	sampled(t, func(town Town) {
		if got, err := Find(town.Label()); err != nil || got != town {
			t.Errorf("Find(%q) is %+v, %v, want %+v", town.Label(), got, err, town)
		}
	})
}

func TestLongLabelIsAmongChoices(t *testing.T) {
	sampled(t, func(town Town) {
		got, err := Find(town.LongLabel())
		var ambiguous *AmbiguousError
		switch {
		case errors.As(err, &ambiguous) && slices.Contains(ambiguous.Choices, town):
		case err != nil:
			t.Errorf("Find(%q): %v", town.LongLabel(), err)
		case got.Country != town.Country || got.Region != town.Region:
			t.Errorf("Find(%q) is %+v", town.LongLabel(), got)
		}
	})
}

// A comma may be left out before a US state.
func TestCommaMayBeLeftOut(t *testing.T) {
	sampled(t, func(town Town) {
		with, without := town.Name+", "+town.Region, town.Name+" "+town.Region
		if town.Country != "US" || with != town.Label() {
			return
		}
		if got, err := Find(without); err != nil || got != town {
			t.Errorf("Find(%q) is %q, %v", without, got.Label(), err)
		}
	})
}

func TestLabels(t *testing.T) {
	tests := []struct {
		name        string
		town        Town
		label, long string
	}{
		{"unknown town", Town{Name: "Nonesuch", Region: "OH", Country: "US", CountryName: "United States"},
			"Nonesuch, OH", "Nonesuch, OH, United States"},
		{"far from any town", Town{Name: "near 0.0,-150.0", Point: Point{Lng: -150}},
			"near 0.0,-150.0", "near 0.0,-150.0"},
		{"city state", Town{Name: "Luxembourg", Region: "Luxembourg", County: "Luxembourg", Country: "LU", CountryName: "Luxembourg"},
			"Luxembourg, Luxembourg (0.00,0.00)", "Luxembourg, Luxembourg"},
		{"nothing", Town{}, "", ""},
	}
	for _, test := range tests {
		if got := test.town.Label(); got != test.label {
			t.Errorf("%s: label %q, want %q", test.name, got, test.label)
		}
		if got := test.town.LongLabel(); got != test.long {
			t.Errorf("%s: long label %q, want %q", test.name, got, test.long)
		}
	}
}

// Two towns of one name in one state are told apart by their counties.
func TestLabelsTellTwinsApart(t *testing.T) {
	seen := map[string]Town{}
	sampled(t, func(town Town) {
		label := town.Label()
		if twin, ok := seen[label]; ok {
			t.Errorf("%q is both %+v and %+v", label, twin, town)
		}
		seen[label] = town
	})
}
