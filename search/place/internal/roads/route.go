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
	ways := make([]Way, g.Len())
	for i := range ways {
		ways[i] = Nowhere
	}
	q := make(queue, 0, 1024)
	for _, s := range starts {
		if s.Way < ways[s.Node] {
			ways[s.Node] = s.Way
			q.push(entry{s.Way, int32(s.Node)})
		}
	}
	for len(q) > 0 {
		e := q.pop()
		if e.way > ways[e.node] {
			continue // A better way there has been found since.
		}
		for _, a := range g.arcs[g.start[e.node]:g.start[e.node+1]] {
			if w := e.way + a.way(); w < ways[a.to] {
				ways[a.to] = w
				q.push(entry{w, a.to})
			}
		}
	}
	return ways
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
