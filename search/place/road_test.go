package place_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"heirpress/search/place"
)

func TestRoadBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := points().Draw(t, "a"), points().Draw(t, "b")
		road, km := place.RoadKm(a, b), place.GreatCircleKm(a, b)
		if road != place.RoadKm(b, a) {
			t.Fatalf("%v there, %v back", road, place.RoadKm(b, a))
		}
		if !(km <= road.LowKm && road.LowKm <= road.Km && road.Km <= road.HighKm) {
			t.Fatalf("out of order: great circle %v, road %+v", km, road)
		}
		if km > 0 && road.Km/km < place.MinCircuity() {
			t.Fatalf("circuity %v, below the least, %v", road.Km/km, place.MinCircuity())
		}
		if here := place.RoadKm(a, a); here != (place.Road{}) {
			t.Fatalf("from %v to itself is %+v", a, here)
		}
	})
}

// The band is the middle eight in ten of the trips in the table, and half the
// trips are shorter than the estimate.
func TestRoadAgainstEurodist(t *testing.T) {
	var pairs, inBand, shorter int
	for _, p := range readPairs(t, "eurodist.csv") {
		circuity := p.km / place.GreatCircleKm(p.a, p.b)
		if circuity < 1 || circuity > 2.5 {
			continue // A fault in the table: see beside it.
		}
		road := place.RoadKm(p.a, p.b)
		if road.None {
			t.Errorf("no road from %s to %s", p.from, p.to)
		}
		pairs++
		if road.LowKm <= p.km && p.km <= road.HighKm {
			inBand++
		}
		if p.km < road.Km {
			shorter++
		}
	}
	if pairs != 204 {
		t.Errorf("%d sound pairs in the table, want 204", pairs)
	}
	if share := float64(inBand) / float64(pairs); math.Abs(share-0.8) > 0.02 {
		t.Errorf("%.3f of the pairs are in the band", share)
	}
	if share := float64(shorter) / float64(pairs); math.Abs(share-0.5) > 0.05 {
		t.Errorf("%.3f of the pairs are shorter than the estimate", share)
	}
}

func TestRoadAcrossWater(t *testing.T) {
	tests := []struct {
		from, to string
		none     bool
	}{
		{"New York", "San Francisco, CA", false},
		{"Anchorage, AK", "Panama City, Panama", false},
		{"Halifax, NS", "St. John's, NL", false},
		{"Victoria, BC", "Tijuana", false},
		{"Key West, FL", "Miami", false},
		{"Key West, FL", "Havana", true},
		{"Miami", "Nassau, Bahamas", true},
		{"Boston", "London", true},
		{"Honolulu, HI", "Los Angeles", true},
		{"Panama City, Panama", "Bogotá", true},
		{"Dublin", "Leeds, England", false},
		{"Belfast, Northern Ireland", "Roma", false},
		{"London", "Lisbon", false},
		{"Palermo, Italy", "Tunis", true},
		{"Gibraltar", "Tangier", true},
		{"Algeciras", "Ceuta", true},
		{"Paris", "Beijing", false},
		{"Paris", "Reykjavík", true},
		{"Reykjavík", "Akureyri", false},
		{"Nuuk", "Iqaluit, NU", true},
		{"Oslo", "Athens, Greece", false},
		{"Tokyo", "Fukuoka", false},
		{"Fukuoka", "Busan", true},
		{"Cairo", "Cape Town", false},
		{"Sydney, Australia", "Perth, Australia", false},
		{"Sydney, Australia", "Auckland", true},
		{"Kuala Lumpur", "Bangkok", false},
	}
	for _, test := range tests {
		a, b := find(t, test.from), find(t, test.to)
		if road := place.RoadKm(a.Point, b.Point); road.None != test.none {
			t.Errorf("%s to %s: %+v", test.from, test.to, road)
		}
	}
}

func TestRoadFactors(t *testing.T) {
	tests := []struct {
		from, to string
		factor   float64
	}{
		{"Dayton, OH", "Boston, MA", 1.19},
		{"Leeds, England", "Köln", 1.29},
		{"Sydney, Australia", "Perth, Australia", 1.30},
		{"Boston, MA", "Leeds, England", 1.30},
	}
	var factors []float64
	for _, test := range tests {
		a, b := find(t, test.from).Point, find(t, test.to).Point
		got := place.RoadKm(a, b).Km / place.GreatCircleKm(a, b)
		if math.Abs(got-test.factor) > 1e-9 {
			t.Errorf("%s to %s: factor %v, want %v", test.from, test.to, got, test.factor)
		}
		factors = append(factors, got)
	}
	if least := slices.Min(factors); math.Abs(least-place.MinCircuity()) > 1e-9 {
		t.Errorf("the least factor is %v, MinCircuity %v", least, place.MinCircuity())
	}
}

func TestRoadOffTheGlobe(t *testing.T) {
	road := place.RoadKm(place.Point{}, place.Point{Lat: 91})
	if !math.IsNaN(road.Km) || !road.None {
		t.Errorf("to a point off the globe: %+v", road)
	}
}

func find(t *testing.T, text string) place.Town {
	t.Helper()
	town, err := place.Find(text)
	if err != nil {
		t.Fatal(err)
	}
	return town
}
