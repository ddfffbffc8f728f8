package main

import (
	"maps"
	"slices"
	"testing"

	"heirpress/search/place/internal/gaz"
)

func TestNameShort(t *testing.T) {
	tests := []struct {
		name, country string
		population    int
		feature       string
		alternates    []string
		want          map[string]bool
	}{
		{"Hanau am Main", "DE", 88648, "PPLA4", nil, map[string]bool{"hanau": true}},
		{"Kempten (Allgäu)", "DE", 61399, "PPL", nil, map[string]bool{"kempten": true}},
		{"Martigny-Ville", "CH", 14768, "PPLA2", []string{"Martigny"}, map[string]bool{"martigny": true}},
		{"Middlebury (village)", "US", 6588, "PPLA2", nil, map[string]bool{"middlebury": true}},
		{"Greater Sudbury", "CA", 161531, "PPL", []string{"Sudbury", "SUD"}, map[string]bool{"sudbury": true}},
		{"Arrasate / Mondragón", "ES", 22000, "PPL", nil, map[string]bool{"arrasate": true, "mondragon": true}},
		{"Wetzikon / Kempten", "CH", 4377, "PPLX", nil, map[string]bool{"wetzikon": false, "kempten": false}},
		{"Weil im Dorf", "DE", 600, "PPL", nil, map[string]bool{"weil": true}},
		{"Stein am Rhein", "DE", 2900, "PPL", nil, map[string]bool{"stein": false}}, // and there is a Stein of 1,000
		{"Stein am Main", "DE", 3000, "PPL", nil, map[string]bool{"stein": true}},
		{"Cape May Court House", "US", 5000, "PPLA2", []string{"Cape May"}, map[string]bool{"capemay": false}},
		{"Lake in the Hills", "US", 28000, "PPL", nil, nil},
		{"Au am Rhein", "DE", 6000, "PPL", nil, nil}, // too short to tell anything
		{"Mexico City", "MX", 12294193, "PPLC", []string{"Mexico"}, nil},
		{"Oklahoma City", "US", 681054, "PPLA", []string{"Oklahoma"}, nil},
		{"Dawson City", "CA", 1319, "PPL", []string{"Dawson"}, map[string]bool{"dawson": true}},
		{"Dayton", "US", 140000, "PPLA2", []string{"Dayton City"}, nil},
	}
	for _, test := range tests {
		a := newAtlas(sources{admin1: map[string]string{"US.OK": "Oklahoma"}, cities: []city{
			{name: "Stein", country: "DE", at: point{49, 11}, population: 1000},
			{name: "Cape May", country: "US", admin1: "NJ", population: 3500},
			{name: "Sudbury", country: "GB", population: 13000},
		}})
		e := &entry{admin1: "NJ",
			Town: gaz.Town{Name: test.name, Country: test.country, Population: test.population},
			key:  gaz.Key(test.name), feature: test.feature, alternates: test.alternates,
		}
		if a.nameShort(e); !maps.Equal(e.Aliases, test.want) {
			t.Errorf("%s is also %v, want %v", test.name, e.Aliases, test.want)
		}
	}
}

func TestOneLetterOff(t *testing.T) {
	tests := []struct {
		a, b string
		want bool
	}{
		{"sion", "sion", true}, {"sion", "sions", true}, {"sion", "son", true}, {"sion", "zion", true},
		{"sion", "soin", false}, {"sion", "sitten", false}, {"", "ab", false}, {"", "a", true},
	}
	for _, test := range tests {
		if oneLetterOff(test.a, test.b) != test.want || oneLetterOff(test.b, test.a) != test.want {
			t.Errorf("%q and %q one letter off: %v", test.a, test.b, !test.want)
		}
	}
}

func TestFill(t *testing.T) {
	s := testSources()
	s.older = []city{
		{name: "Dropped", country: "CA", admin1: "08", feature: "PPL", at: point{48.7, -86.4}, population: 4627},
		{name: "Springfield", country: "US", admin1: "OH", feature: "PPL", at: point{39.9, -83.8}, population: 60000}, // there
		{name: "By Oldname", country: "IE", admin1: "C", feature: "PPL", at: point{53.271, -9.051}, population: 2000}, // renamed
		{name: "A Quarter", country: "IE", admin1: "C", feature: quarter, at: point{53.5, -9.5}, population: 2000},    // of a town
		{name: "Small", country: "IE", admin1: "C", feature: "PPL", at: point{53.6, -9.6}, population: 700},           // too small
		{name: "Far Away", country: "PE", admin1: "1", feature: "PPL", at: point{-10, -70}, population: 90000},        // out of scope
	}
	a := newAtlas(s)
	a.fill(s.older)
	var added []string
	for _, e := range a.entries[len(s.cities)-2:] { // Two of the cities are not wanted.
		added = append(added, e.Name)
	}
	if !slices.Equal(added, []string{"Dropped"}) {
		t.Errorf("filled in %q", added)
	}
}
