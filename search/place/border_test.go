package place

import "testing"

func TestBorder(t *testing.T) {
	tests := []struct{ from, to, want string }{
		{"Detroit, MI", "Windsor, ON", "from the United States into Canada"},
		{"Windsor, ON", "Detroit, MI", "from Canada into the United States"},
		{"Dayton, OH", "Pittsburgh, PA", ""},
		{"Seattle, WA", "Anchorage, AK", "from the United States into Canada, and out of it again"},
		{"Fairbanks, AK", "Anchorage, AK", ""},
		{"Köln", "Strasbourg", ""},
		{"Freiburg, Germany", "Basel", "from the European Union into Switzerland"},
		{"Basel", "Vaduz", ""},
		{"Dover, England", "Calais", "from the United Kingdom into the European Union"},
		{"Belfast, Northern Ireland", "Dundalk, Ireland", ""},
		{"Dundalk, Ireland", "Newry, Northern Ireland", ""},
		{"Glasgow, Scotland", "Belfast, Northern Ireland", ""},
		{"Dublin, Ireland", "Holyhead, Wales", "from the European Union into the United Kingdom"},
		{"Oslo", "Göteborg", "from Norway into the European Union"},
		{"El Paso, TX", "Ciudad Juárez", "from the United States into Mexico"},
	}
	for _, test := range tests {
		from, err1 := Find(test.from)
		to, err2 := Find(test.to)
		if err1 != nil || err2 != nil {
			t.Errorf("%v, %v", err1, err2)
			continue
		}
		if got := JourneyBetween(from, to).Border; got != test.want {
			t.Errorf("%s to %s: %q, want %q", test.from, test.to, got, test.want)
		}
	}
	if got := border(Town{}, Town{Country: "US"}); got != "" {
		t.Errorf("from nowhere: %q", got)
	}
}
