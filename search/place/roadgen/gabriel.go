package main

import "slices"

const (
	// bridgedKm is the longest stretch of water on the outlines that a road is
	// taken to cross without being in the table of links: a river's mouth, a
	// creek, or an outline that is not quite true.
	bridgedKm = 2.0
	// candidates is how many of the nearest nodes a node may be joined to.
	candidates = 40
)

// reaches are how far around a node to look for its neighbours, in kilometres:
// where towns are dense the first is plenty.
var reaches = []float64{40, 160, 640, 1500}

// joiner finds which of some nodes are neighbours by road.
type joiner struct {
	mask  *mask
	nodes []town
	// members are the nodes that are joined.
	members []int
	near    *near
	// dry remembers which pairs have no water between them.
	dry map[[2]int]bool
}

func newJoiner(nodes []town, members []int, m *mask, dry map[[2]int]bool) *joiner {
	j := &joiner{mask: m, nodes: nodes, members: members, near: newNear(), dry: dry}
	for _, n := range members {
		j.near.add(nodes[n].at)
	}
	return j
}

// overLand tells whether a road may go straight from one node to another.
func (j *joiner) overLand(a, b int) bool {
	key := [2]int{min(a, b), max(a, b)}
	dry, known := j.dry[key]
	if !known {
		dry = j.mask.longestWater(j.nodes[key[0]].at, j.nodes[key[1]].at) <= bridgedKm
		j.dry[key] = dry
	}
	return dry
}

// around are the members nearest to node n, the nearest first, each under the
// number of its node.
func (j *joiner) around(n int) []neighbour {
	found := j.near.around(j.nodes[n].at, reaches, candidates+1) // itself is one of them
	for i := range found {
		found[i].number = j.members[found[i].number]
	}
	found = slices.DeleteFunc(found, func(m neighbour) bool { return m.number == n })
	return found[:min(len(found), candidates)]
}

// pairs are the edges of the Gabriel graph over land, the lesser number first:
// two nodes are joined if no third lies within the circle that has the line
// between them for a diameter. A third that water parts from the first does not
// count.
func (j *joiner) pairs() [][2]int {
	var all [][2]int
	for _, a := range j.members {
		around := j.around(a)
		for i, n := range around {
			if !j.between(a, around[:i], n) && j.overLand(a, n.number) {
				all = append(all, [2]int{min(a, n.number), max(a, n.number)})
			}
		}
	}
	slices.SortFunc(all, func(p, q [2]int) int { return slices.Compare(p[:], q[:]) })
	return slices.Compact(all)
}

// between tells whether one of the nearer nodes stands between a and n.
func (j *joiner) between(a int, nearer []neighbour, n neighbour) bool {
	for _, third := range nearer {
		inCircle := third.chord+j.nodes[third.number].at.Chord2(j.nodes[n.number].at) < n.chord
		if inCircle && j.overLand(a, third.number) {
			return true
		}
	}
	return false
}
