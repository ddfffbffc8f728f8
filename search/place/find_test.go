package place_test

import (
	"errors"
	"strings"
	"testing"

	"heirpress/search/place"
)

func TestFind(t *testing.T) {
	tests := []struct{ text, label string }{
		// A town and its region, however they are written.
		{"Dayton, OH", "Dayton, OH"},
		{"  dayton ,oh ", "Dayton, OH"},
		{"Dayton Ohio", "Dayton, OH"},
		{"DAYTON OH", "Dayton, OH"},
		{"dayton, ohio, usa", "Dayton, OH"},
		{"Dayton Ohio U.S.A.", "Dayton, OH"},
		{"Dayton, OH, United States", "Dayton, OH"},
		{"Boston, Mass.", "Boston, MA"},
		{"Charlotte, N. Carolina", "Charlotte, NC"},
		{"Charlotte North Carolina USA", "Charlotte, NC"},
		{"Leeds, England", "Leeds, England"},
		{"Leeds, UK", "Leeds, England"},
		{"Leeds, Great Britain", "Leeds, England"},
		{"Leeds, AL", "Leeds, AL"},
		{"Cardiff, Wales", "Cardiff, Wales"},
		{"Edinburgh, Scotland", "Edinburgh, Scotland"},
		{"Belfast, Northern Ireland", "Belfast, Northern Ireland"},
		{"Cork, Ireland", "Cork, Ireland"},
		{"London, ON", "London, ON"},
		{"London, Ontario", "London, ON"},
		{"London Ontario Canada", "London, ON"},
		{"St. John's, Newfoundland", "St. John's, NL"},
		{"Haarlem, Holland", "Haarlem, Netherlands"},
		{"Nürnberg, Bayern", "Nuremberg, Germany"},
		{"Porter IN", "Porter, IN"}, // not Port Erin
		{"Kansas City, Missouri", "Kansas City, MO"},
		{"New York, New York", "New York City, NY"},
		{"New York New York", "New York City, NY"},

		// A state's abbreviation comes before a country's code, a state before a
		// country, and a town in either is found.
		{"London, CA", "London, CA"},
		{"Rome, Georgia", "Rome, GA"},
		{"Tbilisi, Georgia", "Tbilisi, Georgia"},
		{"Köln, DE", "Köln, Germany"},
		{"San Juan, PR", "San Juan, Puerto Rico"},

		// Bare names that one town has to itself.
		{"London", "London, England"},
		{"Paris", "Paris, France"},
		{"Boston", "Boston, MA"},
		{"New York", "New York City, NY"},
		{"Quebec", "Québec, QC"},
		{"Washington", "Washington, DC"},
		{"Luxembourg", "Luxembourg, Luxembourg"},
		{"Gibraltar", "Gibraltar, Gibraltar"},
		{"Albuquerque", "Albuquerque, NM"},

		// Accents, other names, and spellings of umlauts.
		{"Köln", "Köln, Germany"},
		{"Koln", "Köln, Germany"},
		{"Koeln", "Köln, Germany"},
		{"KÖLN", "Köln, Germany"},
		{"Ko\u0308ln", "Köln, Germany"}, // o with a combining mark
		{"Cologne", "Köln, Germany"},
		{"München", "Munich, Germany"},
		{"Muenchen", "Munich, Germany"},
		{"Duesseldorf", "Düsseldorf, Germany"},
		{"Roma", "Rome, Italy"},
		{"Hüde, Germany", "Hüde, Germany"}, // but without the accent, the larger Hude
		{"Hude, Germany", "Hude, Germany"},
		{"Vienne, France", "Vienne, France"}, // though Vienna is called so too
		{"Aarhus", "Århus, Denmark"},
		{"Y Fenni, Wales", "Abergavenny, Wales"},
		{"Hay-on-Wye", "Hay, Wales"},
		{"Monaco", "Monaco, Monaco"},
		{"Montreal", "Montréal, QC"},
		{"Lodz", "Łódź, Poland"},
		{"Hull, England", "Kingston upon Hull, England"},

		// Punctuation, and words that people shorten.
		{"St. Louis, MO", "St. Louis, MO"},
		{"St Louis, MO", "St. Louis, MO"},
		{"Saint Louis, Missouri", "St. Louis, MO"},
		{"St.Louis MO", "St. Louis, MO"},
		{"Fort Worth, TX", "Fort Worth, TX"},
		{"Ft. Worth TX", "Fort Worth, TX"},
		{"Mt. Vernon, NY", "Mount Vernon, NY"},
		{"Sault Sainte Marie, Ontario", "Sault Ste. Marie, ON"},
		{"O’Fallon, IL", "O'Fallon, IL"},
		{"OFallon, IL", "O'Fallon, IL"},
		{"Winston Salem, NC", "Winston-Salem, NC"},
		{"De Kalb, IL", "DeKalb, IL"},
		{"Washington, D.C.", "Washington, DC"},
		{"Washington DC", "Washington, DC"},

		// Counties settle what states do not.
		{"Springfield, Clark County, OH", "Springfield, OH"},
		{"Springfield, Clark Co., Ohio", "Springfield, OH"},
		{"Springfield, Clark, Ohio", "Springfield, OH"},

		// Codes of the post.
		{"45402", "Dayton, OH"},
		{"45402-1234", "Dayton, OH"},
		{"45402 1234", "Dayton, OH"},
		{"01003", "Amherst, MA"},
		{"10001", "New York City, NY"},
		{"67410", "Abilene, KS"},
		{"Dayton, OH 45402", "Dayton, OH"},
		{"Springfield 62701", "Springfield, IL"},
		{"75001 Paris, France", "Paris, France"},
		{"50667 Köln", "Köln, Germany"},
		{"Leeds LS1 4AP", "Leeds, England"},
		{"1012 AB Amsterdam", ""},

		// Figures that belong to the name.
		{"100 Mile House, BC", "100 Mile House, BC"},

		// Positions.
		{"39.76,-84.19", "Dayton, OH"},
		{"39.76, -84.19", "Dayton, OH"},
		{"39.76 -84.19", "Dayton, OH"},
		{"39.76N 84.19W", "Dayton, OH"},
		{"39.76° N, 84.19° W", "Dayton, OH"},
		{"39.76,−84.19", "Dayton, OH"}, // with a true minus sign
		{"near 39.76,-84.19", "Dayton, OH"},
		{"0,-150", "near 0.0,-150.0"},
		{"-0.01,-150.04", "near 0.0,-150.0"},
		{"Springfield, OH (39.92,-83.81)", "Springfield, OH"},
	}
	for _, test := range tests {
		town, err := place.Find(test.text)
		switch {
		case test.label == "":
			if err == nil {
				t.Errorf("Find(%q) is %s", test.text, town.LongLabel())
			}
		case err != nil:
			t.Errorf("Find(%q): %v", test.text, err)
		case town.Label() != test.label:
			t.Errorf("Find(%q) is %q, want %q", test.text, town.Label(), test.label)
		}
	}
}

func TestFindFillsTheTown(t *testing.T) {
	town := find(t, "Dayton, OH")
	want := place.Town{
		Name: "Dayton", Region: "OH", RegionName: "Ohio", County: "Montgomery County",
		Country: "US", CountryName: "United States",
		Point: place.Point{Lat: 39.759, Lng: -84.1916}, Population: town.Population,
	}
	if town != want {
		t.Errorf("Dayton is %+v", town)
	}
	if town.Population < 100_000 || town.Population > 200_000 {
		t.Errorf("Dayton has %d people", town.Population)
	}
	if got := find(t, "Leeds, UK"); got.Region != "England" || got.RegionName != "England" || got.Country != "GB" {
		t.Errorf("Leeds is %+v", got)
	}
	// A village that GeoNames does not list is known from its ZIP code.
	if got := find(t, "Cedar, KS"); got.County != "Smith County" || got.Population != 0 {
		t.Errorf("Cedar is %+v", got)
	}
}

func TestFindAmbiguous(t *testing.T) {
	tests := []struct {
		text  string
		first string // the label of the most populous
		has   string // and of another
	}{
		{"Springfield", "Springfield, MO", "Springfield, OH"},
		{"Portland", "Portland, OR", "Portland, ME"},
		{"Birmingham", "Birmingham, England", "Birmingham, AL"},
		{"Saint Louis", "St. Louis, MO", "Saint Louis, MI"},
		{"Newcastle, England", "Newcastle upon Tyne, England", ""},
	}
	for _, test := range tests {
		town, err := place.Find(test.text)
		var ambiguous *place.AmbiguousError
		if !errors.As(err, &ambiguous) {
			if err == nil && test.has == "" && town.Label() == test.first {
				continue
			}
			t.Errorf("Find(%q) is %q, %v", test.text, town.Label(), err)
			continue
		}
		checkChoices(t, test.text, test.first, test.has, ambiguous)
	}
}

func checkChoices(t *testing.T, text, first, has string, e *place.AmbiguousError) {
	t.Helper()
	if e.Query != text || len(e.Choices) < 2 {
		t.Errorf("Find(%q): %+v", text, e)
	}
	for i, town := range e.Choices[1:] {
		if town.Population > max(e.Choices[i].Population, 1000) {
			t.Errorf("Find(%q): %s comes before %s, which has more people", text, e.Choices[i].LongLabel(), town.LongLabel())
		}
	}
	var labels []string
	for _, town := range e.Choices {
		labels = append(labels, town.Label())
	}
	if all := strings.Join(labels, "|"); first != "" && labels[0] != first || !strings.Contains(all, has) {
		t.Errorf("Find(%q): choices %s", text, all)
	}
}

func TestFindUnknown(t *testing.T) {
	tests := []struct{ text, near string }{
		{"Daton, OH", "Dayton, OH"},
		{"Daton Ohio", "Dayton, OH"},
		{"Dayotn, OH", "Dayton, OH"}, // two letters changed about
		{"Albuquerqe", "Albuquerque, NM"},
		{"Philidelphia", "Philadelphia, PA"},
		{"Cinncinati, OH", "Cincinnati, OH"},
		{"Edinbrugh, Scotland", "Edinburgh, Scotland"},
		{"Colonge", "Köln, Germany"},
		{"Pitsburgh, Pennsylvania", "Pittsburgh, PA"},
		{"Dayton, MI", "Dayton, OH"}, // right name, wrong state
		{"Dayton, Ohoi", "Dayton, OH"},
		{"Xyzzyville", ""},
		{"", ""},
		{",", ""},
		{"()", ""},
		{"99999", ""},
		{"123", ""},
		{strings.Repeat("Ohio ", 35), ""},
		{strings.Repeat("x", 300), ""},
	}
	for _, test := range tests {
		town, err := place.Find(test.text)
		var unknown *place.UnknownError
		switch {
		case !errors.As(err, &unknown):
			t.Errorf("Find(%q) is %q, %v", test.text, town.Label(), err)
		case len(unknown.Near) > 5:
			t.Errorf("Find(%q): %d near spellings", test.text, len(unknown.Near))
		case test.near != "" && (len(unknown.Near) == 0 || unknown.Near[0].Label() != test.near):
			t.Errorf("Find(%q): %v", test.text, err)
		}
	}
}

func TestFindStateOrCountry(t *testing.T) {
	tests := []struct{ text, message string }{
		{"Ohio", `"Ohio" is a state of the United States. Name a town, as "Columbus, OH" or "Ohio, IL".`},
		{"ontario", `"ontario" is a province of Canada. Name a town, as "Toronto, ON", "Ontario, CA"`},
		{"OH", `"OH" is a state of the United States. Name a town, as "Columbus, OH".`},
		{"Germany", `"Germany" is a country. Name a town, as "Berlin, Germany".`},
		{"U.K.", `"U.K." is a country. Name a town, as "London, England" or "Uk, Russia".`},
		{"England", `"England" is a part of the United Kingdom. Name a town, as "London, England"`},
		{"Holland", `"Holland" is a country. Name a town, as "Amsterdam, Netherlands", "Holland, MI"`},
		{"Bavaria", `"Bavaria" is a state of Germany. Name a town, as "Munich, Germany".`},
		{"Georgia", `"Georgia" is a state of the United States. Name a town, as "Atlanta, GA"`},
	}
	for _, test := range tests {
		_, err := place.Find(test.text)
		var unknown *place.UnknownError
		if !errors.As(err, &unknown) || !strings.HasPrefix(err.Error(), test.message) {
			t.Errorf("Find(%q):\n%v\nwant\n%s", test.text, err, test.message)
		}
	}
}

func TestFindBadCoordinates(t *testing.T) {
	for _, text := range []string{"95,200", "-84.19,239.76", "91 0", "0,180.1", "1" + strings.Repeat("0", 150) + ",0"} {
		_, err := place.Find(text)
		var bad *place.BadCoordinatesError
		if !errors.As(err, &bad) || bad.Query != text || !strings.Contains(err.Error(), "not on the globe") {
			t.Errorf("Find(%.20q): %v", text, err)
		}
	}
}

func TestMessages(t *testing.T) {
	tests := []struct {
		text string
		says []string
	}{
		{"Springfield", []string{
			`"Springfield" may be any of `, "Springfield, Clark County, OH, United States;", "; and ", " more. ", "Add the state, county or country.",
		}},
		{"Daton, OH", []string{`No town found for "Daton, OH".`, `Did you mean "Dayton, OH", `, "or give coordinates, as 39.76,-84.19."}},
		{"Xyzzyville", []string{`No town found for "Xyzzyville". Add the state`}},
	}
	for _, test := range tests {
		_, err := place.Find(test.text)
		for _, part := range test.says {
			if err == nil || !strings.Contains(err.Error(), part) {
				t.Errorf("Find(%q) says %v\nand not %s", test.text, err, part)
			}
		}
	}
}

// A private address must not come back out of a lookup: whatever is found for
// it is a town's point, or is rounded.
func TestFindDoesNotEchoCoordinates(t *testing.T) {
	home := place.Point{Lat: 39.76123, Lng: -84.19321}
	if got := find(t, "39.76123,-84.19321").Point; got == home {
		t.Errorf("Find gave back %v", got)
	}
	if got := find(t, "10.12345,-130.98765").Point; got != (place.Point{Lat: 10.1, Lng: -131}) {
		t.Errorf("far from any town Find gave %v", got)
	}
}
