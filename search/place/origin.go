package place

import (
	_ "embed"
	"math"
	"sync"
	"sync/atomic"

	"heirpress/search/place/internal/roads"
)

//go:embed roads.bin
var roadsData []byte

// roadmap is the graph of towns and what finds a node in it.
type roadmap struct {
	*roads.Graph
	finder *roads.Finder
	// spots remembers points lately asked for, each in the slot that its hash
	// gives: it is shared without a lock, and never grows.
	spots [1 << 16]atomic.Pointer[spot]
}

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

// spot is a point seen from the graph: its nearest node, and the ways to that
// and to the nodes about it.
type spot struct {
	point Point
	node  int
	ends  []roads.Start
}

// newSpot finds a point's place in the graph. A point that is not valid, or is
// far from any town, has node -1 and no ways.
func (m *roadmap) newSpot(p Point) *spot {
	s := &spot{point: p, node: -1}
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
func (m *roadmap) spotOf(p Point) *spot {
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

func (s *spot) add(m *roadmap, node int) {
	s.ends = append(s.ends, roads.Start{Node: node, Way: local(m.kmTo(s.point, node))})
}

// onNode tells whether the point is a node itself.
func (s *spot) onNode() bool { return s.ends[0].Way == 0 }

// local is the way between two points close together.
func local(km float64) roads.Way { return roads.Over(int(math.Ceil(1000 * localCircuity * km))) }

// Origin is a point with the ways from it to everywhere. It never changes, and
// may be used by many goroutines at once.
type Origin struct {
	*spot
	ways []roads.Way
}

// From finds the ways from a point to everywhere, which takes a few milliseconds
// and 0.4 MB, or next to nothing if the point was among the last asked for.
func From(p Point) *Origin {
	if o := origins.cached(p); o != nil {
		return o
	}
	m := theRoads()
	o := &Origin{spot: m.spotOf(p)}
	if o.node >= 0 {
		o.ways = m.Search(o.ends)
	}
	origins.keep(o)
	return o
}

// Road is the way by road from the origin to a point: RoadKm of the two.
func (o *Origin) Road(to Point) Road {
	straight := GreatCircleKm(o.point, to)
	if straight == 0 {
		return Road{}
	}
	if o.node < 0 {
		return noRoad(straight)
	}
	s := theRoads().spotOf(to)
	way := roads.Best(o.ways, s.ends)
	if o.beside(s) {
		way = min(way, local(straight))
	}
	if way == roads.Nowhere {
		return noRoad(straight)
	}
	return roadOf(o.point, to, straight, float64(way.Metres())/1000, float64(way.ShipKm()))
}

// beside tells whether two spots are so near, with land between, that there may
// be a straighter way than through the graph: their nodes are one, or neighbours.
func (s *spot) beside(t *spot) bool {
	if s.node < 0 || t.node < 0 || s.onNode() && t.onNode() {
		return false
	}
	near := s.node == t.node
	theRoads().Neighbours(s.node, func(to int) { near = near || to == t.node })
	return near
}
