package main

import (
	"cmp"
	"slices"

	"heirpress/search/place/internal/roads"
	"heirpress/search/place/internal/sphere"
)

// network is the graph in the making.
type network struct {
	nodes  []town
	edges  []edge
	number map[sphere.Vector]int
}

// edge joins two nodes, a before b.
type edge struct {
	a, b  int
	class roads.Class
	km    float64 // straight
	given float64 // the length in the table of links, or 0
	// relief is how rough the land is along it, in metres.
	relief float64
	// roundabout marks a way that cannot go straight: see joinSpits.
	roundabout bool
}

// levels are nested graphs: every town has roads to its neighbours, and larger
// towns have straighter ones to each other as well, up to so many kilometres.
var levels = []struct {
	population int
	km         float64
}{{0, 2000}, {10_000, 100}, {50_000, 200}, {200_000, 300}}

// assemble chooses the nodes and joins them.
func assemble(towns []town, links []link, highways []highway, m *mask, land *terrain) *network {
	n := &network{nodes: chooseNodes(towns, ends(links, highways), m), number: map[sphere.Vector]int{}}
	n.order()
	classes := map[[2]int]roads.Class{}
	w := newWilds(links)
	n.addLanes(m, w, classes)
	for _, h := range highways {
		classes[n.pair(h.from, h.to)] = roads.Highway
	}
	for p, class := range classes {
		n.edges = append(n.edges, edge{a: p[0], b: p[1], class: class})
	}
	n.addLinks(links)
	n.joinSpits(m, w)
	n.measure(land)
	slices.SortFunc(n.edges, func(p, q edge) int {
		return cmp.Or(cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b), cmp.Compare(p.class, q.class), cmp.Compare(p.given, q.given))
	})
	return n
}

// ends are the towns of the tables, which must be nodes.
func ends(links []link, highways []highway) []town {
	var towns []town
	for _, l := range links {
		towns = append(towns, l.from, l.to)
	}
	for _, h := range highways {
		towns = append(towns, h.from, h.to)
	}
	return towns
}

// order numbers the nodes by bands of latitude, so that the numbers of
// neighbours are near to each other and the file is small.
func (n *network) order() {
	slices.SortFunc(n.nodes, func(a, b town) int {
		return cmp.Or(cmp.Compare(nearCell(a.lat, 0)[0], nearCell(b.lat, 0)[0]), cmp.Compare(a.lng, b.lng), cmp.Compare(a.lat, b.lat))
	})
	for i, t := range n.nodes {
		n.number[t.at] = i
	}
}

func (n *network) pair(a, b town) [2]int {
	i, k := n.number[a.at], n.number[b.at]
	return [2]int{min(i, k), max(i, k)}
}

// addLanes joins neighbours on every level.
func (n *network) addLanes(m *mask, w *wilds, classes map[[2]int]roads.Class) {
	dry := map[[2]int]bool{}
	for _, level := range levels {
		var members []int
		for i, t := range n.nodes {
			if t.population >= level.population {
				members = append(members, i)
			}
		}
		for _, p := range newJoiner(n.nodes, members, m, dry).pairs() {
			a, b := n.nodes[p[0]], n.nodes[p[1]]
			if kmBetween(a.at, b.at) <= level.km && !w.roadless(a) && !w.roadless(b) && !barred(a, b) {
				classes[p] = roads.Lane
			}
		}
	}
}

func (n *network) addLinks(links []link) {
	for _, l := range links {
		p := n.pair(l.from, l.to)
		n.edges = append(n.edges, edge{a: p[0], b: p[1], class: l.class(), given: l.km})
	}
}

// measure gives the edges their straight lengths and their relief.
func (n *network) measure(land *terrain) {
	relief := make([]float64, len(n.nodes))
	for i, t := range n.nodes {
		relief[i] = land.relief(t.at)
	}
	for i := range n.edges {
		e := &n.edges[i]
		a, b := n.nodes[e.a].at, n.nodes[e.b].at
		e.km = kmBetween(a, b)
		e.relief = (relief[e.a] + relief[e.b]) / 2
		if e.km > 15 {
			e.relief = (2*e.relief + land.relief(a.Toward(b, 0.5))) / 3
		}
	}
}
