package roads

// Way is a way through the graph, packed so that two ways are compared and added
// up as whole numbers: first the cost by which ways are chosen, in metres; then
// the length in metres; then how much of that is by ship, in kilometres. Adding
// up from either end gives the same, and so does the choice between two ways.
type Way uint64

const (
	lengthShift = 12
	costShift   = 37
	shipMask    = 1<<lengthShift - 1
	lengthMask  = 1<<(costShift-lengthShift) - 1
	// boarding is what a ferry costs beyond its length, in metres: a driver goes
	// as much further by land sooner than wait for a ship.
	boarding = 200_000
	// laneShift sets what a lane costs beyond its length, a sixteenth: drivers
	// keep to the great roads where that is not much longer.
	laneShift = 4
)

// Nowhere is the way to a node that no road leads to.
const Nowhere = ^Way(0)

// Over is the way of so many metres by lane.
func Over(metres int) Way {
	return Way(metres+metres>>laneShift)<<costShift | Way(metres)<<lengthShift
}

// Metres is the length of the way.
func (w Way) Metres() int { return int(w >> lengthShift & lengthMask) }

// ShipKm is how many kilometres of the way are by ship, each ferry rounded up.
func (w Way) ShipKm() int { return int(w & shipMask) }

func (a arc) way() Way {
	metres := a.metres()
	switch a.class() {
	case Lane:
		return Over(metres)
	case Ferry:
		return Way(metres+boarding)<<costShift | Way(metres)<<lengthShift | Way(metres+999)/1000
	}
	return Way(metres)<<costShift | Way(metres)<<lengthShift
}

// Start is a node to begin at or to end at, and the way between it and the place
// meant.
type Start struct {
	Node int
	Way  Way
}

// Search finds the best way to every node, beginning at any of the starts.
func (g *Graph) Search(starts []Start) []Way {
	r := g.Begin(starts)
	for len(r.queue) > 0 {
		r.step()
	}
	return r.ways
}

// Route is a search that goes only as far as it is asked. It is for one
// goroutine at a time.
type Route struct {
	graph *Graph
	ways  []Way
	queue queue
}

// Begin begins a search at any of the starts.
func (g *Graph) Begin(starts []Start) *Route {
	r := &Route{graph: g, ways: make([]Way, g.Len()), queue: make(queue, 0, 1024)}
	for i := range r.ways {
		r.ways[i] = Nowhere
	}
	for _, s := range starts {
		if s.Way < r.ways[s.Node] {
			r.ways[s.Node] = s.Way
			r.queue.push(entry{s.Way, int32(s.Node)})
		}
	}
	return r
}

// Known is the best way that ends at any of the ends, if the search has gone far
// enough to tell.
func (r *Route) Known(ends []Start) (Way, bool) {
	best := Best(r.ways, ends)
	return best, len(r.queue) == 0 || best != Nowhere && best <= r.queue[0].way
}

// Best is the best way that ends at any of the ends. The search goes on until
// that is known.
func (r *Route) Best(ends []Start) Way {
	for {
		best, known := r.Known(ends)
		if known {
			return best
		}
		r.goOn(best)
	}
}

// BestWithin is Best where that is of at most so many metres. Where it is longer
// the search may stop before it is known: then beyond is true.
func (r *Route) BestWithin(ends []Start, metres int) (way Way, beyond bool) {
	for {
		best, known := r.Known(ends)
		if known {
			return best, false
		}
		if (best == Nowhere || best.Metres() > metres) && r.isPast(metres) {
			return Nowhere, true
		}
		for range fewSteps {
			if len(r.queue) > 0 && r.queue[0].way < best {
				r.step()
			}
		}
	}
}

// fewSteps is how many nodes a search goes on by before it looks whether it has
// gone far enough.
const fewSteps = 64

// isPast tells whether all ways that are still to be found are longer: each goes
// on from a node that waits. What is dearest to go need not be longest, for a
// ferry costs more than its length.
func (r *Route) isPast(metres int) bool {
	if len(r.queue) == 0 || int(r.queue[0].way>>costShift) <= metres {
		return false // The first that waits may be no longer than it is dear.
	}
	for _, waiting := range r.queue {
		if waiting.way.Metres() <= metres {
			return false
		}
	}
	return true
}

// stride is how many nodes a search goes on by, when it is not known how far it
// has to go.
const stride = 256

// goOn goes on until no way shorter than one is left; by a stride alone where
// nothing is known of how far that is.
func (r *Route) goOn(enough Way) {
	for n := 0; len(r.queue) > 0 && r.queue[0].way < enough; n++ {
		if n >= stride && enough == Nowhere {
			return
		}
		r.step()
	}
}

// step settles the nearest node that is left.
func (r *Route) step() {
	e := r.queue.pop()
	if e.way > r.ways[e.node] {
		return // A better way there has been found since.
	}
	g := r.graph
	for _, a := range g.arcs[g.start[e.node]:g.start[e.node+1]] {
		if w := e.way + a.way(); w < r.ways[a.to] {
			r.ways[a.to] = w
			r.queue.push(entry{w, a.to})
		}
	}
}

// Best is the best of the ways that end at any of the ends.
func Best(ways []Way, ends []Start) Way {
	best := Nowhere
	for _, e := range ends {
		if w := ways[e.Node]; w != Nowhere {
			best = min(best, w+e.Way)
		}
	}
	return best
}

// Trace calls yield for each edge of the best way to node, from its end. ways is
// what Search gave.
func (g *Graph) Trace(ways []Way, node int, yield func(e Edge)) {
	for moved := true; moved; {
		moved = false
		for _, a := range g.arcs[g.start[node]:g.start[node+1]] {
			if before := ways[a.to]; before != Nowhere && before+a.way() == ways[node] {
				yield(Edge{min(node, int(a.to)), max(node, int(a.to)), a.metres(), a.class()})
				node, moved = int(a.to), true
				break
			}
		}
	}
}
