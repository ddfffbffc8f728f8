package standing

import (
	"math"

	"heirpress/search/place"
)

// points numbers the places that wants look from: many look from one town.
type points struct {
	slots[point]
	numbers map[place.Point]uint32
}

type point struct {
	at   place.Point
	uses uint32
}

func newPoints() points { return points{numbers: map[place.Point]uint32{}} }

// use numbers a place and counts one more want that looks from it. All places off
// the globe are one.
func (p *points) use(at place.Point) uint32 {
	if !at.Valid() {
		at = place.Point{Lat: 91}
	}
	n, there := p.numbers[at]
	if !there {
		n = p.keep(point{at: at})
		p.numbers[at] = n
	}
	p.all[n].uses++
	return n
}

func (p *points) drop(n uint32) {
	at := &p.all[n]
	if at.uses--; at.uses == 0 {
		delete(p.numbers, at.at)
		p.free(n)
	}
}

// roads are the ways of one lot from the places that wants look from, measured
// when they are first asked for. They are used again for the next lot.
type roads struct {
	lot  uint32 // counts the lots
	from []way
}

type way struct {
	lot uint32 // the lot that it was measured for
	km  float64
}

// roadKm is how far a lot is by road from a place, in kilometres; NaN if that is
// not known, or if no road leads there.
func (w *Wants) roadKm(l *lot, from uint32) float64 {
	if l.town == nil {
		return math.NaN()
	}
	if l.roads == nil {
		l.roads = w.takeRoads()
	}
	way := &l.roads.from[from]
	if way.lot != l.roads.lot {
		way.lot, way.km = l.roads.lot, math.NaN()
		// The ways are found from the lot's town, once for all wants.
		if road := place.RoadKm(*l.town, w.points.all[from].at); !road.None {
			way.km = road.Km
		}
	}
	return way.km
}

func (w *Wants) takeRoads() *roads {
	r, _ := w.roads.Get().(*roads)
	if r == nil || len(r.from) < len(w.points.all) || r.lot == math.MaxUint32 {
		r = &roads{from: make([]way, len(w.points.all)+len(w.points.all)/4)}
	}
	r.lot++
	return r
}

// done gives back what a lot was measured with.
func (w *Wants) done(l *lot) {
	if l.roads != nil {
		w.roads.Put(l.roads)
	}
}
