package main

import (
	"slices"
	"strings"
	"testing"
)

func TestLackingTableIsSound(t *testing.T) {
	seen := map[string]bool{}
	for line := range strings.Lines(strings.TrimSpace(lacking)) {
		c, err := parseLacking(strings.Fields(line))
		if err != nil || c.name == "" || seen[c.name+c.admin1] || c.at.lat < 42 || c.at.lng > -52 || c.at.lng < -141 {
			t.Errorf("line %q: %+v, %v", line, c, err)
		}
		seen[c.name+c.admin1] = true
	}
}

func TestParseLackingRefuses(t *testing.T) {
	for _, line := range []string{"OH Dayton 39.76 -84.19", "ON Brighton north -77", "ON Brighton 44 west"} {
		if _, err := parseLacking(strings.Fields(line)); err == nil {
			t.Errorf("%q was read", line)
		}
	}
}

func TestAddLackingAddsEachOnce(t *testing.T) {
	s := testSources()
	s.cities = append(s.cities, city{name: "Brighton", country: "CA", admin1: "08", at: point{44.04, -77.73}, population: 11844})
	a := newAtlas(s)
	before := len(a.entries)
	if err := a.addLacking(); err != nil {
		t.Fatal(err)
	}
	added := a.entries[before:]
	if n := strings.Count(strings.TrimSpace(lacking), "\n") + 1; len(added) != n-1 {
		t.Errorf("%d added of %d", len(added), n)
	}
	if slices.ContainsFunc(added, func(e *entry) bool { return e.Name == "Brighton" }) {
		t.Error("Brighton is there twice")
	}
}
