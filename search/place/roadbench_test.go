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

// BenchmarkFrom finds the ways from one town to all of the others, or to those
// within 150 miles.
func BenchmarkFrom(b *testing.B) {
	towns := someTowns(b)
	spots := make([]*place.Spot, len(towns))
	for i, t := range towns {
		spots[i] = place.SpotOf(t)
	}
	for name, most := range map[string]float64{"everywhere": 1e9, "150 miles": 241} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for i := range b.N {
				from := towns[i*977%len(towns)]
				o := place.From(from)
				for k, t := range towns {
					if place.GreatCircleKm(from, t) < most {
						o.Km(spots[k])
					}
				}
			}
			b.ReportMetric(float64(len(towns)), "towns")
		})
	}
}

func BenchmarkOriginKm(b *testing.B) {
	towns := someTowns(b)
	o := place.From(towns[0])
	for _, t := range towns {
		o.Road(t)
	}
	spots := make([]*place.Spot, len(towns))
	for i, t := range towns {
		spots[i] = place.SpotOf(t)
	}
	b.ResetTimer()
	for i := range b.N {
		o.Km(spots[i%len(towns)])
	}
	b.ReportMetric(float64(len(towns)), "towns")
}
