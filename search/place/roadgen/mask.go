package main

import (
	"math"
	"slices"

	"heirpress/search/place/internal/sphere"
	"heirpress/search/place/topojson"
)

// mask is land and water by squares of a hundredth of a degree, about a
// kilometre: finer than the outlines are.
type mask struct{ land []uint64 }

const (
	maskPerDegree = 100
	maskRows      = 180 * maskPerDegree
	maskColumns   = 360 * maskPerDegree
)

func newMask() *mask { return &mask{land: make([]uint64, maskRows*maskColumns/64)} }

// fill makes what the rings enclose, by the even-odd rule, land or water.
func (m *mask) fill(rings []topojson.Line, land bool) {
	crossings := make([][]float64, maskRows)
	for _, r := range rings {
		r = unwrapped(r)
		for i := range r {
			addCrossings(crossings, r[i], r[(i+1)%len(r)])
		}
	}
	for row, xs := range crossings {
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			m.fillRow(row, xs[i], xs[i+1], land)
		}
	}
}

// unwrapped is the ring with longitudes that go on past 180° instead of starting
// again: the outline of Asia runs across the date line.
func unwrapped(r topojson.Line) topojson.Line {
	out := slices.Clone(r)
	for i := 1; i < len(out); i++ {
		out[i].Lng -= 360 * math.Round((out[i].Lng-out[i-1].Lng)/360)
	}
	return out
}

// addCrossings notes where the side from a to b crosses the middles of rows.
func addCrossings(crossings [][]float64, a, b topojson.Point) {
	if a.Lat > b.Lat {
		a, b = b, a
	}
	y := func(lat float64) float64 { return (lat+90)*maskPerDegree - 0.5 }
	for row := max(0, int(math.Ceil(y(a.Lat)))); row < maskRows && float64(row) < y(b.Lat); row++ {
		part := (float64(row) - y(a.Lat)) / (y(b.Lat) - y(a.Lat))
		crossings[row] = append(crossings[row], a.Lng+part*(b.Lng-a.Lng))
	}
}

func (m *mask) fillRow(row int, west, east float64, land bool) {
	first := int(math.Ceil((west+180)*maskPerDegree - 0.5))
	for column := first; float64(column) < (east+180)*maskPerDegree-0.5; column++ {
		bit := row*maskColumns + (column+2*maskColumns)%maskColumns
		if land {
			m.land[bit/64] |= 1 << (bit % 64)
		} else {
			m.land[bit/64] &^= 1 << (bit % 64)
		}
	}
}

func (m *mask) isLand(lat, lng float64) bool {
	row, column := maskSquare(lat, lng)
	return m.bit(row*maskColumns + column)
}

func (m *mask) bit(n int) bool { return m.land[n/64]>>(n%64)&1 == 1 }

// alike is 64 if the 64 squares from square n on are all land, or all water, and
// there are as many left in the row; or else 0.
func (m *mask) alike(n, left int, land bool) int {
	word := uint64(0)
	if land {
		word = ^word
	}
	if n%64 == 0 && left >= 64 && m.land[n/64] == word {
		return 64
	}
	return 0
}

func maskSquare(lat, lng float64) (row, column int) {
	return min(int((lat+90)*maskPerDegree), maskRows-1), int((lng+180)*maskPerDegree) % maskColumns
}

const (
	stepKm  = 0.5
	shoreKm = 1.5
)

// longestWater is the longest stretch of water on the straight line between two
// points, in kilometres. The ends are left out, since the outlines are not so
// fine that every harbour town is on land.
func (m *mask) longestWater(a, b sphere.Vector) float64 {
	km := kmBetween(a, b)
	var longest, run float64
	for at := shoreKm; at <= km-shoreKm; at += stepKm {
		if m.isLand(a.Toward(b, at/km).Degrees()) {
			run = 0
			continue
		}
		run += stepKm
		longest = max(longest, run)
	}
	return longest
}
