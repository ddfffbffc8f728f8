package roads

import (
	"math"

	"heirpress/search/place/internal/sphere"
)

// Finder finds the node nearest to a position.
type Finder struct {
	graph *Graph
	at    []sphere.Vector
	// cell[start[c]:start[c+1]] are the nodes of square c, a quarter of a degree wide.
	start, cell []int32
}

const (
	perDegree = 4
	rows      = 180 * perDegree
	columns   = 360 * perDegree
)

// NewFinder makes a finder of the graph's nodes.
func NewFinder(g *Graph) *Finder {
	f := &Finder{graph: g, at: make([]sphere.Vector, g.Len()), start: make([]int32, rows*columns+1), cell: make([]int32, g.Len())}
	cells := make([]int, g.Len())
	for n := range f.at {
		f.at[n] = sphere.Of(g.Lat[n], g.Lng[n])
		cells[n] = rowOf(g.Lat[n])*columns + columnOf(g.Lng[n])
		f.start[cells[n]+1]++
	}
	for c := range rows * columns {
		f.start[c+1] += f.start[c]
	}
	next := append([]int32(nil), f.start...)
	for n, c := range cells {
		f.cell[next[c]] = int32(n)
		next[c]++
	}
	return f
}

func rowOf(lat float64) int    { return min(int((lat+90)*perDegree), rows-1) }
func columnOf(lng float64) int { return int((lng+180)*perDegree) % columns }

// Nearest is the node nearest to a position, or -1 if there is none within
// about 100 km.
func (f *Finder) Nearest(lat, lng float64) int {
	s := search{Finder: f, at: sphere.Of(lat, lng), node: -1, least: 9}
	row, column := rowOf(lat), columnOf(lng)
	// So many squares stand for one square's height, and more near the poles.
	width := 1 / max(0.02, math.Cos(lat*math.Pi/180))
	for _, squares := range []int{1, 4} {
		across := min(int(math.Ceil(float64(squares)*width)), columns/2)
		for r := max(0, row-squares); r <= min(rows-1, row+squares); r++ {
			for c := column - across; c <= column+across; c++ {
				s.look(r*columns + (c+columns)%columns)
			}
		}
		if reach := float64(squares) / perDegree * math.Pi / 180; s.least <= reach*reach*0.99 {
			break // Whatever lies outside the squares is further.
		}
	}
	return s.node
}

// search is a search for the nearest node, and the nearest so far.
type search struct {
	*Finder
	at    sphere.Vector
	node  int
	least float64
}

func (s *search) look(cell int) {
	for _, n := range s.cell[s.start[cell]:s.start[cell+1]] {
		if d := s.Finder.at[n].Chord2(s.at); d < s.least {
			s.node, s.least = int(n), d
		}
	}
}
