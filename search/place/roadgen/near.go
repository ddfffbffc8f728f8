package main

import (
	"cmp"
	"math"
	"slices"

	"heirpress/search/place"
	"heirpress/search/place/internal/sphere"
)

// near finds the points around a point, by squares of half a degree.
type near struct {
	at    []sphere.Vector
	cells map[[2]int][]int
}

const nearPerDegree = 2

func newNear() *near { return &near{cells: map[[2]int][]int{}} }

func nearCell(lat, lng float64) [2]int {
	return [2]int{int(math.Floor(lat * nearPerDegree)), int(math.Floor(lng * nearPerDegree))}
}

// add gives a point the next number.
func (n *near) add(v sphere.Vector) {
	c := nearCell(v.Degrees())
	n.cells[c] = append(n.cells[c], len(n.at))
	n.at = append(n.at, v)
}

// neighbour is a point near another.
type neighbour struct {
	number int
	chord  float64 // squared
}

// around are the points nearest to v, the nearest first: looked for within each of
// some kilometres in turn, until there are enough.
func (n *near) around(v sphere.Vector, reaches []float64, enough int) (found []neighbour) {
	for _, km := range reaches {
		found = found[:0]
		n.within(v, km, func(number int) {
			found = append(found, neighbour{number, n.at[number].Chord2(v)})
		})
		if len(found) >= enough {
			break
		}
	}
	slices.SortFunc(found, func(a, b neighbour) int {
		return cmp.Or(cmp.Compare(a.chord, b.chord), cmp.Compare(a.number, b.number))
	})
	return found
}

// within calls yield for every point no further from v than km.
func (n *near) within(v sphere.Vector, km float64, yield func(number int)) {
	lat, lng := v.Degrees()
	rows := km / 111.19 * nearPerDegree
	columns := rows / max(0.01, math.Cos((math.Abs(lat)+km/111.19)*math.Pi/180))
	c := nearCell(lat, lng)
	up, across := int(rows)+1, min(int(columns)+1, 180*nearPerDegree)
	limit := math.Pow(2*math.Sin(min(km/place.EarthRadiusKm, math.Pi)/2), 2)
	for row := c[0] - up; row <= c[0]+up; row++ {
		for column := c[1] - across; column <= c[1]+across; column++ {
			wrapped := (column+540*nearPerDegree)%(360*nearPerDegree) - 180*nearPerDegree
			for _, number := range n.cells[[2]int{row, wrapped}] {
				if n.at[number].Chord2(v) <= limit {
					yield(number)
				}
			}
		}
	}
}
