package main

import (
	"fmt"
	"hash/crc32"
	"io"
	"maps"
	"math"
	"slices"

	"heirpress/search/place"
	"heirpress/search/place/internal/check"
	"heirpress/search/place/internal/roads"
)

const (
	// rounds is how often the constants are fitted and the ways sought anew: the
	// best ways depend on the constants a little.
	rounds = 4
	// folds is into how many parts the towns are dealt to be held out in turn.
	folds = 5
)

// weights say how much a table counts in the fit. The table of 1949 is of roads
// before the motorways, and there is much of it; Turkey stands for elsewhere.
var weights = map[string]float64{"roads": 6, "eurodist": 2, "knuth_miles": 0.4, "turkey": 0.3}

// fit fits the constants to the tables, prints them, and then how far off they
// are on towns that had no part in the fit.
func (n *network) fit(w io.Writer, dir string) error {
	pairs, err := check.Read(dir)
	if err != nil {
		return err
	}
	all := n.fitTo(pairs)
	fmt.Fprintf(w, "%+v\n", all)
	errors := map[string][]float64{}
	for fold := range folds {
		held := func(p check.Pair) bool { return foldOf(p.From) == fold || foldOf(p.To) == fold }
		c := n.fitTo(slices.DeleteFunc(slices.Clone(pairs), held))
		f := n.fitter(c)
		for _, p := range pairs {
			if t := f.way(p); t.found && held(p) {
				key := p.Table + " " + band(p.Km)
				errors[key] = append(errors[key], math.Abs(t.km/p.Km-1))
			}
		}
	}
	return printErrors(w, errors)
}

func foldOf(town string) int { return int(crc32.ChecksumIEEE([]byte(town))) % folds }

func band(km float64) string {
	switch {
	case km < 50:
		return "   0–50 km"
	case km < 500:
		return " 50–500 km"
	}
	return "over 500 km"
}

func printErrors(w io.Writer, errors map[string][]float64) error {
	fmt.Fprintln(w, "Errors on towns held out, per cent: the middle, 90th percentile and worst.")
	for _, key := range slices.Sorted(maps.Keys(errors)) {
		half, nine, worst := check.Shares(errors[key])
		if _, err := fmt.Fprintf(w, "%-24s %6d  %5.1f %5.1f %5.1f\n", key, len(errors[key]), 100*half, 100*nine, 100*worst); err != nil {
			return err
		}
	}
	return nil
}

// fitter measures ways with given constants.
type fitter struct {
	network *network
	c       constants
	graph   *roads.Graph
	finder  *roads.Finder
	edges   map[roads.Edge]*edge
	ways    map[place.Point][]roads.Way
}

func (n *network) fitter(c constants) *fitter {
	lat, lng := n.positions()
	edges := n.lengths(c)
	f := &fitter{network: n, c: c, graph: roads.New(lat, lng, edges), edges: map[roads.Edge]*edge{}, ways: map[place.Point][]roads.Way{}}
	f.finder = roads.NewFinder(f.graph)
	for i, e := range edges {
		f.edges[e] = &n.edges[i]
	}
	return f
}

// trip is a way found, and how much each constant had to do with it: the
// kilometres are the sum of rest and of each constant times its share.
type trip struct {
	found    bool
	km, rest float64
	share    vec
}

// way finds the way of a pair from node to node, the nearest to its towns.
func (f *fitter) way(p check.Pair) (t trip) {
	a, b := f.finder.Nearest(p.A.Lat, p.A.Lng), f.finder.Nearest(p.B.Lat, p.B.Lng)
	if _, ok := f.ways[p.A]; !ok {
		f.ways[p.A] = f.graph.Search([]roads.Start{{Node: a}})
	}
	ways := f.ways[p.A]
	if ways[b] == roads.Nowhere {
		return t
	}
	t.found = true
	t.km = float64(ways[b].Metres()) / 1000
	t.rest = t.km
	f.graph.Trace(ways, b, func(re roads.Edge) {
		e := f.edges[re]
		if e == nil || e.given > 0 || e.roundabout {
			return
		}
		c := f.c
		base, rough := c.terms(*e, regionOf(f.network.nodes[e.a]))
		t.share[c.index(base)] += e.km
		t.share[c.index(rough)] += e.km * e.roughness()
		t.rest -= float64(re.Metres) / 1000
	})
	return t
}

// fitTo fits the constants to pairs.
func (n *network) fitTo(pairs []check.Pair) constants {
	c := fitted
	for range rounds {
		f := n.fitter(c)
		s := newSum()
		for _, p := range pairs {
			t := f.way(p)
			// A way as far off as this has gone another road, and is no guide.
			if weight := weights[p.Table]; t.found && weight > 0 && math.Abs(t.km/p.Km-1) < 0.25 {
				s.add(t.share, p.Km-t.rest, weight/p.Km)
			}
		}
		c = s.solve()
	}
	return c
}
