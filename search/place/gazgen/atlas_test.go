package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"heirpress/search/place/internal/gaz"
)

func testSources() sources {
	return sources{
		cities: []city{
			{name: "Springfield", country: "US", admin1: "OH", admin2: "023", at: point{39.9242, -83.8088}, population: 59680},
			{name: "Springfield", country: "US", admin1: "OH", admin2: "023", at: point{39.93, -83.81}, population: 900},
			{name: "Springfield", country: "US", admin1: "OH", admin2: "099", at: point{41.0, -80.6}, population: 700},
			{name: "Oldname", country: "IE", admin1: "C", at: point{53.27, -9.05}, population: 80000, alternates: []string{"Newname"}},
			{name: "Basford, Stoke", country: "GB", admin1: "ENG", at: point{53.0, -2.2}, population: 7000},
			{name: "Gone", country: "US", admin1: "OH", at: point{40, -83}, population: 5000, feature: "PPLH"},
			{name: "Hamlet", country: "US", admin1: "OH", at: point{40, -84}, population: 100},
			{name: "Changed", country: "NO", admin1: "01", at: point{59, 11}, population: 5000},
		},
		newer: []newerCity{
			{Name: "Newname", Country: "IE", Admin1: "C", Lat: "53.2701", Lng: "-9.0501"},
			{Name: "Newtown", Country: "CA", Admin1: "08", Lat: "45", Lng: "-80"},
			{Name: "Ct 0001", Country: "CA", Admin1: "08", Lat: "46", Lng: "-80"},
			{Name: "Changed", Country: "NO", Admin1: "31", Admin2: "3105", Lat: "59.0", Lng: "11.0"},
		},
		admin1: map[string]string{"US.OH": "Ohio", "IE.C": "Connacht", "GB.ENG": "England", "CA.08": "Ontario", "NO.31": "Østfold"},
		admin2: map[string]string{"US.OH.023": "Clark County", "NO.31.3105": "Sarpsborg (town)"},
		zips: []zip{
			{code: 45501, name: "Springfield", state: "OH", county: "023", countyName: "Clark", at: point{39.92, -83.8}},
			{code: 44501, name: "Springfield", state: "OH", county: "099", countyName: "Mahoning", at: point{41.01, -80.61}},
			{code: 45001, name: "Hamlet", state: "OH", county: "135", countyName: "Preble", at: point{39.7, -84.7}},
		},
	}
}

func assembled(s sources) []gaz.Town {
	a := newAtlas(s)
	a.repair(s.newer)
	a.update(s.newer)
	a.mergeTwins()
	a.deliver(s.zips)
	return a.towns()
}

func TestAtlas(t *testing.T) {
	var got []string
	for _, town := range assembled(testSources()) {
		got = append(got, fmt.Sprintf("%s|%s|%s|%s|%d|%v|%v", town.Name, town.County, town.Short, town.Country, town.Population, town.Postal, town.ZIPs))
	}
	want := []string{
		"Springfield|Clark County|OH|US|59680|false|[45501]", // and its twin is merged
		"Springfield|Mahoning County|OH|US|700|false|[44501]",
		"Newname||Connacht|IE|80000|false|[]", // renamed
		"Basford||England|GB|7000|false|[]",
		"Changed|Sarpsborg|Østfold|NO|5000|false|[]", // under its new region
		"Newtown||ON|CA|0|false|[]",                  // added
		"Hamlet|Preble County|OH|US|0|true|[45001]",  // known only from the post
	}
	if !slices.Equal(got, want) {
		t.Errorf("the atlas holds\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestAtlasIsDeterministic(t *testing.T) {
	first, err := gaz.Write(assembled(testSources()))
	if err != nil {
		t.Fatal(err)
	}
	second, err := gaz.Write(assembled(testSources()))
	if err != nil || !slices.Equal(first, second) {
		t.Errorf("two runs differ, or %v", err)
	}
}

func TestPlausible(t *testing.T) {
	for name, want := range map[string]bool{
		"Cologne": true, "Łódź": true, "Nueva York": true, "CGN": false, "LOND": false, "koln": false, "Rom": false, "Кёльн": false,
	} {
		if plausible(name) != want {
			t.Errorf("%s plausible: %v", name, !want)
		}
	}
}

func TestLongForm(t *testing.T) {
	tests := []struct {
		name, long string
		want       bool
	}{
		{"Hay", "Hay-on-Wye", true},
		{"Stein", "Stein bei Nürnberg", true},
		{"Stein", "Steinbach", false},
		{"Leeds", "Leeds Center", false},
		{"Hay", "Hay on", false},
	}
	for _, test := range tests {
		if got := longForm(test.name, test.long); got != test.want {
			t.Errorf("%s the long form of %s: %v", test.long, test.name, got)
		}
	}
}

// Each line of the hand-written table names a country and two or more names.
func TestPrincipalTableIsSound(t *testing.T) {
	for line := range strings.Lines(strings.TrimSpace(principal)) {
		country, names, _ := strings.Cut(strings.TrimSpace(line), " ")
		keys := map[string]bool{}
		for name := range strings.SplitSeq(names, " = ") {
			keys[gaz.Key(name)] = true
		}
		if len(country) != 2 || len(keys) < 2 || len(keys) != strings.Count(names, " = ")+1 {
			t.Errorf("line %q", line)
		}
	}
}
