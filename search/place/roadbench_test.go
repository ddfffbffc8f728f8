package place_test

import (
	"testing"

	"heirpress/search/place"
)

// someTowns are points spread over a continent, as the towns of lots are.
func someTowns(b *testing.B) []place.Point {
	var points []place.Point
	for lat := 26.0; lat < 49; lat += 0.25 {
		for lng := -123.0; lng < -68; lng += 0.25 {
			if town, km := place.Nearest(place.Point{Lat: lat, Lng: lng}); km < 20 {
				points = append(points, town.Point)
			}
		}
	}
	return points
}

func BenchmarkFrom(b *testing.B) {
	towns := someTowns(b)
	b.ResetTimer()
	b.ReportAllocs()
	for i := range b.N {
		place.From(towns[i*977%len(towns)])
	}
}

func BenchmarkOriginRoad(b *testing.B) {
	towns := someTowns(b)
	o := place.From(towns[0])
	for _, t := range towns {
		o.Road(t)
	}
	b.ResetTimer()
	for i := range b.N {
		o.Road(towns[i%len(towns)])
	}
	b.ReportMetric(float64(len(towns)), "towns")
}
