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
	towns   []numbered
}

// numbered is a town of the table, found among the roads once for all searches.
type numbered struct {
	point place.Point
	spot  *place.Spot
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
		t.numbers, t.towns = map[string]uint32{}, make([]numbered, 1)
	}
	n := uint32(len(t.towns))
	t.numbers[written], t.towns = n, append(t.towns, numbered{point, place.SpotOf(point)})
	return n
}

// all is the towns numbered so far.
func (t *townTable) all() []numbered {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.towns[:len(t.towns):len(t.towns)]
}

// survey is how far the towns are from a filter's place. Each is measured once
// in a search, when the first lot in it comes along, by whoever meets it.
type survey struct {
	filter *Filter
	towns  []numbered
	origin *place.Origin // of the filter's place
	// ways has for each town 0 where it has not been measured, noRoad, or the
	// bits of its kilometres plus one.
	ways []atomic.Uint64
}

const noRoad = math.MaxUint64

// newSurvey makes a survey of the towns numbered so far.
func newSurvey(f *Filter, towns []numbered) *survey {
	if f.near == nil {
		return &survey{filter: f}
	}
	return &survey{filter: f, towns: towns, origin: place.From(*f.near), ways: make([]atomic.Uint64, max(len(towns), 1))}
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

// knownKm is roadKm of a town that has been measured, and no number of one that
// has not.
func (v *survey) knownKm(town uint32) float64 {
	if v.ways[town].Load() == 0 {
		return math.NaN()
	}
	return v.roadKm(town)
}

func (v *survey) measure(town uint32) uint64 {
	if town == 0 {
		return noRoad
	}
	km := v.origin.Km(v.towns[town].spot)
	if math.IsInf(km, 1) {
		return noRoad
	}
	return math.Float64bits(km) + 1
}

// reach is the way to a town in full.
func (v *survey) reach(town uint32) reach {
	if town == 0 || v.filter.near == nil {
		return reach{}
	}
	return v.filter.reachOf(v.towns[town].point, v.origin.Road(v.towns[town].point))
}
