// Package roads is the graph of towns by which package place estimates the way
// by road: how it is kept in a file, and the search for the best ways.
//
// A node is a town; an edge is a way between two towns with its length in whole
// metres. Lengths are whole numbers so that a way measures exactly the same from
// either end.
package roads

import "fmt"

// Class tells what an edge is.
type Class byte

const (
	// Lane is a way over land between neighbouring towns, its length estimated.
	Lane Class = iota
	// Highway is a stretch of a great road between two towns on it.
	Highway
	// Link is a bridge, a tunnel or a lone road of which the length is known.
	Link
	// Ferry is a crossing by ship.
	Ferry
)

const (
	classBits = 2
	classMask = 1<<classBits - 1
)

// Edge joins two nodes, A before B.
type Edge struct {
	A, B   int
	Metres int
	Class  Class
}

// String writes the edge for messages.
func (e Edge) String() string {
	return fmt.Sprintf("%d–%d, %d m, class %d", e.A, e.B, e.Metres, e.Class)
}

// Graph is the graph made ready for searching. It never changes, and may be used
// by many goroutines at once.
type Graph struct {
	// Lat and Lng are the nodes' positions, in degrees of WGS 84.
	Lat, Lng []float64
	// arcs[start[n]:start[n+1]] leave node n.
	start []int32
	arcs  []arc
}

// arc is an edge seen from one end: its length and class share a word.
type arc struct {
	to   int32
	size uint32
}

func (a arc) class() Class { return Class(a.size & classMask) }
func (a arc) metres() int  { return int(a.size >> classBits) }

// New makes a graph of nodes and edges.
func New(lat, lng []float64, edges []Edge) *Graph {
	g := &Graph{Lat: lat, Lng: lng, start: make([]int32, len(lat)+1), arcs: make([]arc, 2*len(edges))}
	for _, e := range edges {
		g.start[e.A+1]++
		g.start[e.B+1]++
	}
	for n := range lat {
		g.start[n+1] += g.start[n]
	}
	next := append([]int32(nil), g.start...)
	put := func(from, to int, e Edge) {
		g.arcs[next[from]] = arc{int32(to), uint32(e.Metres)<<classBits | uint32(e.Class)}
		next[from]++
	}
	for _, e := range edges {
		put(e.A, e.B, e)
		put(e.B, e.A, e)
	}
	return g
}

// Len is the number of nodes.
func (g *Graph) Len() int { return len(g.Lat) }

// Neighbours calls yield for every node that a way over land joins to n. Links
// and ferries are left out: beside them there may be water.
func (g *Graph) Neighbours(n int, yield func(to int)) {
	for _, a := range g.arcs[g.start[n]:g.start[n+1]] {
		if a.class() <= Highway {
			yield(int(a.to))
		}
	}
}

// Edges are the graph's edges, in order.
func (g *Graph) Edges() []Edge {
	var edges []Edge
	for n := range g.Lat {
		for _, a := range g.arcs[g.start[n]:g.start[n+1]] {
			if int(a.to) > n {
				edges = append(edges, Edge{n, int(a.to), a.metres(), a.class()})
			}
		}
	}
	return edges
}
