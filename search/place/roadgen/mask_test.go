package main

import (
	"testing"

	"heirpress/search/place/internal/sphere"
	"heirpress/search/place/topojson"
)

func square(west, south, east, north float64) topojson.Line {
	return topojson.Line{{Lng: west, Lat: south}, {Lng: east, Lat: south}, {Lng: east, Lat: north}, {Lng: west, Lat: north}}
}

// A land with a lake in it, and one that lies across the date line.
func testMask() *mask {
	m := newMask()
	m.fill([]topojson.Line{square(0, 0, 4, 4), square(178, 10, -178, 12), square(10, 0, 11, 1)}, true)
	m.fill([]topojson.Line{square(1, 1, 2, 2)}, false)
	return m
}

func TestMask(t *testing.T) {
	m := testMask()
	tests := []struct {
		lat, lng float64
		land     bool
	}{
		{0.5, 0.5, true}, {3.9, 3.9, true}, {1.5, 1.5, false}, {4.1, 2, false}, {2, -0.1, false},
		{11, 179, true}, {11, -179, true}, {11, 177, false}, {11, -177, false}, {11, 0, false},
	}
	for _, test := range tests {
		if got := m.isLand(test.lat, test.lng); got != test.land {
			t.Errorf("land at %v, %v: %v", test.lat, test.lng, got)
		}
	}
}

func TestLongestWater(t *testing.T) {
	m := testMask()
	at := sphere.Of
	// A degree of latitude is 111 km; the ends are left out.
	for _, test := range []struct {
		a, b     sphere.Vector
		from, to float64
	}{
		{at(0.5, 0.5), at(3.5, 0.5), 0, 0},
		{at(1.5, 0.5), at(1.5, 2.5), 109, 112},
		{at(0.5, 3.5), at(0.5, 10.5), 660, 670},
		{at(11, 178.5), at(11, -178.5), 0, 0},
	} {
		if got := m.longestWater(test.a, test.b); got < test.from || got > test.to {
			t.Errorf("%v to %v: %v km of water, want %v to %v", test.a, test.b, got, test.from, test.to)
		}
	}
}

func TestLandmasses(t *testing.T) {
	l := testMask().landmasses()
	a := l.at(0.5, 0.5)
	if a < 0 || l.at(3.5, 3.5) != a || l.at(0.5, 10.5) == a || l.at(5, 5) != -1 {
		t.Errorf("lands %v, %v, %v, %v", a, l.at(3.5, 3.5), l.at(0.5, 10.5), l.at(5, 5))
	}
	if l.at(11, 179) != l.at(11, -179) {
		t.Error("the date line parts a land")
	}
	if l.at(0.5, -0.01) != a {
		t.Error("a harbour off the outline is on no land")
	}
}
