package search

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"heirpress/search/place"
)

// anyPoint is anywhere on the globe, the poles and the date line more often
// than chance would have it.
func anyPoint(t *rapid.T, name string) place.Point {
	lat := rapid.OneOf(rapid.Float64Range(-90, 90), rapid.SampledFrom([]float64{-90, -89.99, 0, 89.99, 90})).Draw(t, name+" latitude")
	lng := rapid.OneOf(rapid.Float64Range(-180, 180), rapid.SampledFrom([]float64{-180, -179.99, 0, 179.99, 180})).Draw(t, name+" longitude")
	return place.Point{Lat: lat, Lng: lng}
}

// No town within the disc is filed only under cells that do not cover it.
func TestCoverLeavesNothingOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		middle := anyPoint(t, "middle")
		km := math.Pow(10, rapid.Float64Range(-3, 4.3).Draw(t, "log km"))
		town := anyPoint(t, "town")
		if rapid.Bool().Draw(t, "close by") {
			town = closeTo(middle, km, rapid.Float64Range(0, 360).Draw(t, "bearing"), rapid.Float64Range(0, 1).Draw(t, "share"))
		}
		cells := cover(middle, km)
		if place.GreatCircleKm(middle, town) > km || cells == nil {
			return
		}
		if !slices.ContainsFunc(cellsOf(town), func(cell string) bool { return slices.Contains(cells, cell) }) {
			t.Fatalf("%v is %v km from %v, but not in the cover of %v km", town, place.GreatCircleKm(middle, town), middle, km)
		}
	})
}

// closeTo is a point at a share of the distance from another.
func closeTo(p place.Point, km, bearing, share float64) place.Point {
	const rad = math.Pi / 180
	angle := km * share / place.EarthRadiusKm
	lat := math.Asin(math.Sin(p.Lat*rad)*math.Cos(angle) + math.Cos(p.Lat*rad)*math.Sin(angle)*math.Cos(bearing*rad))
	lng := p.Lng*rad + math.Atan2(math.Sin(bearing*rad)*math.Sin(angle)*math.Cos(p.Lat*rad), math.Cos(angle)-math.Sin(p.Lat*rad)*math.Sin(lat))
	return place.Point{Lat: max(-90, min(90, lat/rad)), Lng: math.Remainder(lng/rad, 360)}
}

// A cover is worth having: it is few cells, and leaves most of the Earth out,
// until the disc is a good part of the Earth.
func TestCoverIsClose(t *testing.T) {
	dayton := place.Point{Lat: 39.7589, Lng: -84.1916}
	for _, km := range []float64{0.1, 10, 200, 400} {
		cells := cover(dayton, km)
		if len(cells) == 0 || len(cells) > coverCells {
			t.Errorf("%v km: %d cells", km, len(cells))
		}
		for _, cell := range cellsOf(place.Point{Lat: -33.9, Lng: 151.2}) {
			if slices.Contains(cells, cell) {
				t.Errorf("%v km about Dayton cover Sydney", km)
			}
		}
	}
	if cells := cover(dayton, 20_000); cells != nil {
		t.Errorf("the whole Earth is covered with %d cells", len(cells))
	}
}
