package place_test

import (
	"testing"

	"heirpress/search/place"
)

func BenchmarkFind(b *testing.B) {
	for _, text := range []string{"Dayton, OH", "Dayton Ohio", "45402", "Springfield", "Cologne"} {
		b.Run(text, func(b *testing.B) {
			for b.Loop() {
				place.Find(text)
			}
		})
	}
}

func BenchmarkFindMisspelt(b *testing.B) {
	for _, text := range []string{"Daton, OH", "Albuquerqe"} {
		b.Run(text, func(b *testing.B) {
			for b.Loop() {
				place.Find(text)
			}
		})
	}
}

func BenchmarkNearest(b *testing.B) {
	for name, p := range map[string]place.Point{
		"town":  {Lat: 39.76, Lng: -84.19},
		"ocean": {Lat: 0, Lng: -150},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				place.Nearest(p)
			}
		})
	}
}

func BenchmarkLabel(b *testing.B) {
	town, err := place.Find("Dayton, OH")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		_ = town.Label()
	}
}

func BenchmarkRoadKm(b *testing.B) {
	from, to := place.Point{Lat: 39.76, Lng: -84.19}, place.Point{Lat: 42.36, Lng: -71.06}
	for b.Loop() {
		place.RoadKm(from, to)
	}
}

func BenchmarkLookUnknown(b *testing.B) {
	for b.Loop() {
		place.Look("Xyzzyton Vale")
	}
}
