package search

import (
	"math"
	"sync"
	"sync/atomic"

	"heirpress/search/place"
)

// townTable numbers the towns that lots stand in, over all segments. Number 0
// is no town. It only grows: there are never more than there are towns.
type townTable struct {
	mu      sync.Mutex
	numbers map[string]uint32
	points  []place.Point
}

// number is the number of a town as its column has it.
func (t *townTable) number(written string) uint32 {
	t.mu.Lock()
	defer t.mu.Unlock()
	if n, ok := t.numbers[written]; ok {
		return n
	}
	point, known := readTown(written)
	if !known {
		return 0
	}
	if t.numbers == nil {
		t.numbers, t.points = map[string]uint32{}, make([]place.Point, 1)
	}
	n := uint32(len(t.points))
	t.numbers[written], t.points = n, append(t.points, point)
	return n
}

// all is the points of the towns numbered so far.
func (t *townTable) all() []place.Point {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.points[:len(t.points):len(t.points)]
}

// survey is how far the towns are from a filter's place. Each is measured once
// in a search, when the first lot in it comes along, by whoever meets it.
type survey struct {
	filter *Filter
	points []place.Point
	origin *place.Origin // of the filter's place
	// ways has for each town 0 where it has not been measured, noRoad, or the
	// bits of its kilometres plus one.
	ways []atomic.Uint64
}

const noRoad = math.MaxUint64

// newSurvey makes a survey of the towns numbered so far.
func newSurvey(f *Filter, points []place.Point) *survey {
	if f.near == nil {
		return &survey{filter: f}
	}
	return &survey{filter: f, points: points, origin: place.From(*f.near), ways: make([]atomic.Uint64, max(len(points), 1))}
}

// roadKm is how far a town is by road: infinity where no road leads there, or
// there is no town.
func (v *survey) roadKm(town uint32) float64 {
	way := v.ways[town].Load()
	if way == 0 {
		way = v.measure(town)
		v.ways[town].Store(way)
	}
	if way == noRoad {
		return math.Inf(1)
	}
	return math.Float64frombits(way - 1)
}

func (v *survey) measure(town uint32) uint64 {
	if town == 0 {
		return noRoad
	}
	road := v.origin.Road(v.points[town])
	if road.None {
		return noRoad
	}
	return math.Float64bits(road.Km) + 1
}

// reach is the way to a town in full.
func (v *survey) reach(town uint32) reach {
	if town == 0 || v.filter.near == nil {
		return reach{}
	}
	return v.filter.reachOf(v.points[town], v.origin.Road(v.points[town]))
}
