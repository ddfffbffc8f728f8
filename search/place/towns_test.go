package place

import "testing"

// Every town is given once, and a town that people live in is among them.
func TestTowns(t *testing.T) {
	seen := map[string]int{}
	towns := 0
	for town := range Towns() {
		towns++
		if town.Country == "US" && town.Region == "OH" {
			seen[town.Name]++
		}
	}
	if seen["Dayton"] != 1 || seen["Toledo"] != 1 {
		t.Errorf("Dayton is given %d times and Toledo %d times, want once each", seen["Dayton"], seen["Toledo"])
	}
	if towns < 90_000 {
		t.Errorf("got %d towns", towns)
	}
	for range Towns() {
		break // must not go on
	}
}
