package place_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"heirpress/search/place"
)

func inKm(km float64) string { return fmt.Sprintf("%.0f km", km) }

func TestJourneyLines(t *testing.T) {
	const hours = `[0-9½]+ to [0-9½]+ hours`
	tests := []struct {
		from, to string
		lines    []string
	}{
		{"Dayton, OH", "Pittsburgh, PA", []string{`^at the wheel: a car ` + hours + `, a loaded truck ` + hours + `; no break is due \(US 49 CFR 395\)$`}},
		{"Helsinki", "Tallinn", []string{`^8[0-9] km of it by car ferry, about 3½ hours with the loading`, `^at the wheel: a car 10 minutes, a loaded truck`}},
		{"Detroit, MI", "Boston, MA", []string{`^at the wheel: `, `^the truck with one driver, and the breaks that US 49 CFR 395 asks for where it holds \(half an hour after 8 hours at the wheel, 10 hours after 11 hours\): ` + hours + `$`}},
		{"Dover, England", "Berlin", []string{`^at the wheel: `, `EU Regulation 561/2006 asks for where it holds \(45 minutes after 4½ hours at the wheel, 11 hours after 9 hours\)`, `^it crosses a customs border, from the United Kingdom into the European Union: `}},
		{"Toronto", "Ottawa", []string{`^at the wheel: a car ` + hours + `, a loaded truck ` + hours + `$`}},
		{"Juneau, AK", "Seattle, WA", nil},
	}
	for _, test := range tests {
		got := place.JourneyBetween(find(t, test.from), find(t, test.to)).Lines(inKm)
		if len(got) != len(test.lines) {
			t.Errorf("%s to %s:\n%s", test.from, test.to, strings.Join(got, "\n"))
			continue
		}
		for i, want := range test.lines {
			if !regexp.MustCompile(want).MatchString(got[i]) {
				t.Errorf("%s to %s: %q, want %s", test.from, test.to, got[i], want)
			}
		}
	}
}

func TestSpanInWords(t *testing.T) {
	for want, s := range map[string]place.Span{
		"3 to 4½ hours": {Low: 3 * time.Hour, High: 4*time.Hour + 20*time.Minute},
		"half an hour":  {Low: 30 * time.Minute, High: 31 * time.Minute},
		"an hour":       {Low: time.Hour, High: time.Hour},
		"½ to 1 hours":  {Low: 10 * time.Minute, High: time.Hour},
	} {
		if got := s.String(); got != want {
			t.Errorf("%v to %v is %q, want %q", s.Low, s.High, got, want)
		}
	}
}
