package place

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// nearestByHand measures to every town.
func nearestByHand(p Point) float64 {
	best := math.Inf(1)
	for number := range gazetteer().Len() {
		if !gazetteer().Record(number).Postal {
			best = min(best, kmFrom(p, number))
		}
	}
	return best
}

func TestNearestIsNearest(t *testing.T) {
	if testing.Short() {
		t.Skip("measures to every town, many times")
	}
	rapid.Check(t, func(t *rapid.T) {
		lat := rapid.OneOf(rapid.Float64Range(-90, 90), rapid.SampledFrom([]float64{-90, 90, 0}))
		lng := rapid.OneOf(rapid.Float64Range(-180, 180), rapid.SampledFrom([]float64{-180, 180, 0, 179.99}))
		p := Point{Lat: lat.Draw(t, "lat"), Lng: lng.Draw(t, "lng")}
		town, km := Nearest(p)
		if want := nearestByHand(p); km != want || GreatCircleKm(p, town.Point) != km {
			t.Fatalf("nearest to %v is %s at %v km, but there is one at %v", p, town.LongLabel(), km, want)
		}
	})
}

func TestNearestToATownIsTheTown(t *testing.T) {
	count := 0
	sampled(t, func(town Town) {
		if count++; count%7 != 0 {
			return
		}
		if got, km := Nearest(town.Point); km != 0 && town.Population > 0 {
			t.Errorf("nearest to %s is %s, %v km off", town.LongLabel(), got.LongLabel(), km)
		}
	})
}

func TestNearestOffTheGlobe(t *testing.T) {
	if town, km := Nearest(Point{Lat: 91}); town != (Town{}) || !math.IsNaN(km) {
		t.Errorf("nearest to a point off the globe is %+v, %v", town, km)
	}
}
