package main

import (
	"cmp"
	"os"
	"slices"

	"heirpress/search/place/internal/gaz"
	"heirpress/search/place/internal/sphere"
)

// town is a town of the gazetteer as the graph sees it.
type town struct {
	lat, lng   float64
	at         sphere.Vector
	population int
	postal     bool
}

// readTowns reads the gazetteer.
func readTowns(path string) ([]town, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	f, err := gaz.Open(string(data))
	if err != nil {
		return nil, err
	}
	towns := make([]town, f.Len())
	for i := range towns {
		r := f.Record(i)
		towns[i] = town{r.Lat, r.Lng, sphere.Of(r.Lat, r.Lng), r.Population, r.Postal}
	}
	return towns, nil
}

// bySize puts the most populous first.
func bySize(towns []town) []town {
	slices.SortFunc(towns, func(a, b town) int {
		return cmp.Or(cmp.Compare(b.population, a.population), cmp.Compare(a.lat, b.lat), cmp.Compare(a.lng, b.lng))
	})
	return towns
}

const (
	// nodePopulation is the least population of a town that becomes a node for
	// being a town, and nodeKm how far apart those are.
	nodePopulation = 1000
	nodeKm         = 8
	// loneKm is how far a place of whatever size must be from every node to
	// become one.
	loneKm = 20
)

// chooser picks the towns that are nodes.
type chooser struct {
	mask  *mask
	nodes []town
	near  *near
}

// chooseNodes takes the towns of the links, then towns by size where there is
// no larger one near on the same land, then lone places, then whatever place
// would else be taken for one across a water.
func chooseNodes(towns []town, linked []town, m *mask) []town {
	c := &chooser{mask: m, near: newNear()}
	for _, t := range linked {
		if !c.seen(t, 0.1) {
			c.add(t)
		}
	}
	for _, t := range towns {
		if t.population >= nodePopulation && !t.postal && !c.seen(t, nodeKm) {
			c.add(t)
		}
	}
	for _, t := range towns {
		if !c.seen(t, loneKm) {
			c.add(t)
		}
	}
	for c.addStranded(towns) {
	}
	return c.nodes
}

func (c *chooser) add(t town) {
	c.nodes = append(c.nodes, t)
	c.near.add(t.at)
}

// seen tells whether there is a node within km with no water between.
func (c *chooser) seen(t town, km float64) bool {
	found := false
	c.near.within(t.at, km, func(n int) {
		found = found || c.mask.longestWater(t.at, c.nodes[n].at) <= bridgedKm
	})
	return found
}

// addStranded makes nodes of places whose nearest node is across a water.
func (c *chooser) addStranded(towns []town) (added bool) {
	for _, t := range towns {
		n := c.nearest(t.at)
		if n.at != t.at && c.mask.longestWater(t.at, n.at) > bridgedKm {
			c.add(t)
			added = true
		}
	}
	return added
}

func (c *chooser) nearest(v sphere.Vector) town {
	best, least := -1, 9.0
	for km := 10.0; best < 0; km *= 4 {
		c.near.within(v, km, func(n int) {
			if d := c.near.at[n].Chord2(v); d < least {
				best, least = n, d
			}
		})
	}
	return c.nodes[best]
}
