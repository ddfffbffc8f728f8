package search

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"heirpress/search/place"
)

// To list the nearest, the way to far towns need not be known. look finds the
// way to as many towns as hold enough of what was found, from the nearest in a
// straight line outward, ring by ring, until no town further out can be nearer
// by road. Lots in towns that have no way then are beyond the page.
func (r *run) look(counts []uint32, enough int) {
	near := &nearest{enough: enough, kept: make([]stop, 0, enough)}
	for inner := 0.0; !near.isCertain(inner) && inner < farthestKm; {
		outer := max(firstRingKm, ringGrowth*inner)
		r.lookIn(r.survey.ring(counts, inner, outer), near)
		inner = outer
	}
	if !near.isFull() {
		r.survey.roadKm(0) // What is in no town comes last, and is on the page too.
	}
}

const (
	// firstRingKm is wide enough for most pages in lands full of presses.
	firstRingKm = 120
	// ringGrowth makes few rings of all the Earth: all towns are gone through for each.
	ringGrowth = 4
	// farthestKm is more than half round the Earth.
	farthestKm = 20_100
)

// lookIn finds the ways to the towns of a ring, as far as they are needed.
func (r *run) lookIn(ring []stop, near *nearest) {
	for _, next := range ring {
		if near.isCertain(next.km) {
			return
		}
		near.add(stop{km: r.survey.roadKm(next.town), lots: next.lots})
	}
}

// stop is a town, how far it is, and how many lots were found in it.
type stop struct {
	km   float64
	town uint32
	lots int
}

// ring lists the towns in which anything was found that are from so far to less
// than so far in a straight line, the nearest first.
func (v *survey) ring(counts []uint32, fromKm, toKm float64) []stop {
	var stops []stop
	center := v.filter.near.Unit()
	from, to := chord2(fromKm), chord2(toKm)
	for town := 1; town < len(counts); town++ {
		if counts[town] == 0 {
			continue
		}
		if d := center.Chord2(v.units[town]); from <= d && d < to {
			stops = append(stops, stop{place.StraightKm(center, v.units[town]), uint32(town), int(counts[town])})
		}
	}
	slices.SortFunc(stops, func(a, b stop) int { return cmp.Compare(a.km, b.km) })
	return stops
}

// chord2 is the square of the chord, on a globe of radius 1, that goes with a
// great circle; more than any for what is longer than half round the Earth.
func chord2(km float64) float64 {
	angle := km / place.EarthRadiusKm
	if angle >= math.Pi {
		return math.Inf(1)
	}
	half := math.Sin(angle / 2)
	return 4 * half * half
}

// nearest keeps the nearest towns by road that hold enough lots.
type nearest struct {
	enough int
	kept   []stop // the nearest first
	lots   int    // in kept, of towns that a road leads to
}

// add takes a town in, and lets go of those that are not needed beside it.
func (n *nearest) add(s stop) {
	if s.km > maxWayKm {
		return
	}
	at := len(n.kept)
	for at > 0 && n.kept[at-1].km > s.km {
		at--
	}
	n.kept = slices.Insert(n.kept, at, s)
	n.lots += s.lots
	for last := len(n.kept) - 1; last > 0 && n.lots-n.kept[last].lots >= n.enough; last-- {
		n.lots -= n.kept[last].lots
		n.kept = n.kept[:last]
	}
}

// maxWayKm is longer than any way by road.
const maxWayKm = 1e6

func (n *nearest) isFull() bool { return n.lots >= n.enough }

// isCertain tells whether a town so far in a straight line, and all beyond it,
// are further by road than all that is needed.
func (n *nearest) isCertain(straightKm float64) bool {
	return n.isFull() && straightKm*place.MinCircuity()*(1-1e-6) > n.kept[len(n.kept)-1].km
}

// counts counts lots town by town, by the towns' numbers. Whoever counts takes a
// list, and gives it back for the next to go on with.
type counts struct {
	towns int

	mu   sync.Mutex
	free [][]uint32
}

// add counts the documents of a scope.
func (c *counts) add(s *scope) {
	s.list()
	own := c.take()
	for _, doc := range s.docs {
		own[s.towns[doc]]++
	}
	c.give(own)
}

func (c *counts) take() []uint32 {
	c.mu.Lock()
	defer c.mu.Unlock()
	last := len(c.free) - 1
	if last < 0 {
		return make([]uint32, c.towns)
	}
	own := c.free[last]
	c.free = c.free[:last]
	return own
}

func (c *counts) give(own []uint32) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.free = append(c.free, own)
}

// sum is the counts of all, once all have given back their lists.
func (c *counts) sum() []uint32 {
	all := c.take()
	for _, own := range c.free {
		for town, n := range own {
			all[town] += n
		}
	}
	return all
}
