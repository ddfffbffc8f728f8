package main

import "heirpress/search/place/internal/roads"

// spitKm is how far from the rest of its land a part of the graph is looked for
// and joined to it.
const spitKm = 100

// joinSpits joins parts of the graph that hang together with none, though they
// are on one land with it: towns at the end of a hook or a spit, from which
// every straight line is over water.
func (n *network) joinSpits(m *mask, w *wilds) {
	land, near := m.landmasses(), newNear()
	for _, t := range n.nodes {
		near.add(t.at)
	}
	for n.joinSpit(land, near, w) {
	}
}

// joinSpit joins each small part to the nearest node of a larger on its land, and
// tells whether it has joined any.
func (n *network) joinSpit(land *landmasses, near *near, w *wilds) (joined bool) {
	part, sizes := n.parts()
	type bridge struct {
		from, to int
		chord    float64
	}
	best := map[int]bridge{}
	for i, t := range n.nodes {
		if sizes[part[i]] > 200 || w.roadless(t) {
			continue
		}
		mine := land.at(t.lat, t.lng)
		near.within(t.at, spitKm, func(k int) {
			larger := sizes[part[k]] > sizes[part[i]] || sizes[part[k]] == sizes[part[i]] && part[k] > part[i]
			u := n.nodes[k]
			d := t.at.Chord2(u.at)
			if b, known := best[part[i]]; larger && mine >= 0 && (!known || d < b.chord) &&
				land.at(u.lat, u.lng) == mine && !w.roadless(u) && !barred(t, u) {
				best[part[i]] = bridge{i, k, d}
			}
		})
	}
	for _, b := range best {
		n.edges = append(n.edges, edge{a: min(b.from, b.to), b: max(b.from, b.to), class: roads.Lane, roundabout: true})
	}
	return len(best) > 0
}

// parts numbers the parts of the graph that hang together by land, and counts
// their nodes.
func (n *network) parts() (part []int, sizes map[int]int) {
	part = make([]int, len(n.nodes))
	for i := range part {
		part[i] = i
	}
	root := func(i int) int {
		for part[i] != i {
			part[i] = part[part[i]]
			i = part[i]
		}
		return i
	}
	for _, e := range n.edges {
		if e.class != roads.Ferry {
			a, b := root(e.a), root(e.b)
			part[max(a, b)] = min(a, b)
		}
	}
	sizes = map[int]int{}
	for i := range part {
		part[i] = root(i)
		sizes[part[i]]++
	}
	return part, sizes
}
