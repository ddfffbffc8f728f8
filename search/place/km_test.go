package place_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heirpress/search/place"
)

// Km is what Road says, to the last bit, in whatever order ways are asked for.
func TestKmIsOfRoad(t *testing.T) {
	spots := rapid.OneOf(points(), townPoints())
	rapid.Check(t, func(t *rapid.T) {
		from := spots.Draw(t, "from")
		o := place.From(from)
		for range 10 {
			to := spots.Draw(t, "to")
			if rapid.Bool().Draw(t, "close by") {
				to = place.Point{Lat: max(-90, min(90, from.Lat+rapid.Float64Range(-0.3, 0.3).Draw(t, "north"))), Lng: max(-180, min(180, from.Lng+rapid.Float64Range(-0.3, 0.3).Draw(t, "east")))}
			}
			want := math.Inf(1)
			if road := place.RoadKm(from, to); !road.None {
				want = road.Km
			}
			if got := o.Km(place.SpotOf(to)); got != want {
				t.Fatalf("%v to %v is %v km, not %v", from, to, got, want)
			}
		}
	})
}

// KmWithin is Km, or says that it is more.
func TestKmWithin(t *testing.T) {
	spots := rapid.OneOf(points(), townPoints())
	rapid.Check(t, func(t *rapid.T) {
		from := spots.Draw(t, "from")
		for range 5 {
			to, most := place.SpotOf(spots.Draw(t, "to")), rapid.Float64Range(0, 3000).Draw(t, "most")
			got, known := place.From(from).KmWithin(to, most)
			want := place.From(from).Km(to)
			if known && got != want || !known && want <= most {
				t.Fatalf("%v km (%v) within %v km, and it is %v km", got, known, most, want)
			}
		}
	})
}
