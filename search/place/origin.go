package place

import (
	_ "embed"
	"math"
	"sync"
	"sync/atomic"

	"heirpress/search/place/internal/roads"
	"heirpress/search/place/internal/sphere"
)

//go:embed roads.bin
var roadsData []byte

// roadmap is the graph of towns and what finds a node in it.
type roadmap struct {
	*roads.Graph
	finder *roads.Finder
	// spots remembers points lately asked for, each in the slot that its hash
	// gives: it is shared without a lock, and never grows.
	spots [1 << 16]atomic.Pointer[Spot]
}

// Prepare reads the graph of roads, which takes some 20 ms, so that the first to
// ask for a way need not wait for it.
func Prepare() { theRoads() }

// theRoads is read on first use; that takes a few milliseconds.
var theRoads = sync.OnceValue(func() *roadmap {
	g, err := roads.Read(roadsData)
	if err != nil {
		panic("place: the graph of roads built into this program is damaged: " + err.Error())
	}
	return &roadmap{Graph: g, finder: roads.NewFinder(g)}
})

const (
	// offRoadKm is how far a point may be from the nearest node and still be on
	// the roads: the graph has a node within 20 km of every town of the gazetteer.
	offRoadKm = 50
	// aboutKm is how near the nodes about a point are that it has a way of its own
	// to. Further ones it reaches by way of its nearest.
	aboutKm = 30
)

// Spot is a point seen from the roads: its nearest node, and the ways to that and
// to the nodes about it. It never changes. Whoever asks for a point again and
// again keeps its spot.
type Spot struct {
	point Point
	unit  sphere.Vector
	node  int
	ends  []roads.Start
}

// SpotOf finds a point's place among the roads, which takes some microseconds. A
// point that is not valid, or is far from any town, is on none.
func SpotOf(p Point) *Spot { return theRoads().newSpot(p) }

// newSpot finds a point's place in the graph. A point that is not valid, or is
// far from any town, has node -1 and no ways.
func (m *roadmap) newSpot(p Point) *Spot {
	s := &Spot{point: p, unit: sphere.Of(p.Lat, p.Lng), node: -1}
	if !p.Valid() {
		return s
	}
	n := m.finder.Nearest(p.Lat, p.Lng)
	if n < 0 || m.kmTo(p, n) > offRoadKm {
		return s
	}
	s.node = n
	s.add(m, n)
	if !s.onNode() {
		m.Neighbours(n, func(to int) {
			if m.kmTo(p, to) <= aboutKm {
				s.add(m, to)
			}
		})
	}
	return s
}

// spotOf is newSpot of a point, or what that was when last asked.
func (m *roadmap) spotOf(p Point) *Spot {
	hash := (math.Float64bits(p.Lat)*0x9e3779b97f4a7c15 ^ math.Float64bits(p.Lng)) * 0xd6e8feb86659fd93
	slot := &m.spots[hash>>48]
	if s := slot.Load(); s != nil && s.point == p {
		return s
	}
	s := m.newSpot(p)
	slot.Store(s)
	return s
}

func (m *roadmap) kmTo(p Point, node int) float64 {
	return GreatCircleKm(p, Point{Lat: m.Lat[node], Lng: m.Lng[node]})
}

func (s *Spot) add(m *roadmap, node int) {
	s.ends = append(s.ends, roads.Start{Node: node, Way: local(m.kmTo(s.point, node))})
}

// onNode tells whether the point is a node itself.
func (s *Spot) onNode() bool { return s.ends[0].Way == 0 }

// local is the way between two points close together.
func local(km float64) roads.Way { return roads.Over(int(math.Ceil(1000 * localCircuity * km))) }

// Origin is a point with the ways from it, each found when it is first asked
// for. It may be used by many goroutines at once.
type Origin struct {
	*Spot
	// mu is held to go further, and read-held to look at what is known.
	mu    sync.RWMutex
	route *roads.Route
}

// From begins to look from a point, or goes on where it was left if the point was
// among the last asked for. An origin takes 0.4 MB; the ways to everywhere take a
// few milliseconds, those to what is near a small part of it.
func From(p Point) *Origin {
	if o := origins.cached(p); o != nil {
		return o
	}
	m := theRoads()
	o := &Origin{Spot: m.spotOf(p)}
	if o.node >= 0 {
		o.route = m.Begin(o.ends)
	}
	origins.keep(o)
	return o
}

// Road is the way by road from the origin to a point: RoadKm of the two.
func (o *Origin) Road(to Point) Road { return o.road(theRoads().spotOf(to)) }

func (o *Origin) road(to *Spot) Road {
	straight := GreatCircleKm(o.point, to.point)
	if straight == 0 {
		return Road{}
	}
	way := o.way(to)
	if o.node >= 0 && o.beside(to) {
		way = min(way, local(straight))
	}
	if way == roads.Nowhere {
		return noRoad(straight)
	}
	return roadOf(o.point, to.point, straight, float64(way.Metres())/1000, float64(way.ShipKm()))
}

// Km is the middle estimate of the way to a spot, in kilometres, and exactly that
// of Road: infinity where no road leads. It spares what Road says besides.
func (o *Origin) Km(to *Spot) float64 {
	way := o.way(to)
	if way == roads.Nowhere {
		return o.exactKm(to)
	}
	km := float64(way.Metres()) / 1000
	// What Road does besides matters only where the way is about as straight as
	// any, or goes round where the two may be neighbours.
	straight := o.StraightKm(to)
	if km < (leastCircuity+0.001)*straight || km > (localCircuity-0.001)*straight && o.beside(to) {
		return o.exactKm(to)
	}
	return km
}

// KmWithin is Km where that is at most so many kilometres. Where it is more, it may
// be left unknown, which spares following the roads so far.
func (o *Origin) KmWithin(to *Spot, most float64) (km float64, known bool) {
	if most < farthestKm && o.node >= 0 && to.node >= 0 && !o.beside(to) && o.isBeyond(to, int(math.Ceil(1000*most))) {
		return math.Inf(1), false
	}
	return o.Km(to), true
}

// farthestKm is more than any way.
const farthestKm = 100_000

// isBeyond tells whether the way through the graph is certainly longer.
func (o *Origin) isBeyond(to *Spot, metres int) bool {
	if _, known := o.known(to); known {
		return false
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	_, beyond := o.route.BestWithin(to.ends, metres)
	return beyond
}

func (o *Origin) exactKm(to *Spot) float64 {
	if road := o.road(to); !road.None {
		return road.Km
	}
	return math.Inf(1)
}

// way is the best way through the graph; nowhere if either is on no road.
func (o *Origin) way(to *Spot) roads.Way {
	if o.node < 0 || to.node < 0 {
		return roads.Nowhere
	}
	if best, known := o.known(to); known {
		return best
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.route.Best(to.ends)
}

// known is the best way through the graph, if the roads were followed far enough.
func (o *Origin) known(to *Spot) (roads.Way, bool) {
	o.mu.RLock()
	defer o.mu.RUnlock()
	return o.route.Known(to.ends)
}

// StraightKm is the great circle between two spots in kilometres, but for
// rounding in the ninth figure. It is quicker than GreatCircleKm.
func (s *Spot) StraightKm(t *Spot) float64 { return StraightKm(s.unit, t.unit) }

// beside tells whether two spots are so near, with land between, that there may
// be a straighter way than through the graph: their nodes are one, or neighbours.
func (s *Spot) beside(t *Spot) bool {
	if s.node < 0 || t.node < 0 || s.onNode() && t.onNode() {
		return false
	}
	near := s.node == t.node
	theRoads().Neighbours(s.node, func(to int) { near = near || to == t.node })
	return near
}
