package main

import (
	"math"
	"slices"
	"sync"
	"testing"

	"heirpress/search/place/internal/roads"
	"heirpress/search/place/internal/sphere"
	"heirpress/search/place/topojson"
)

// townAt is a town so many degrees from a corner of Ohio.
func townAt(lat, lng float64, population int) town {
	lat, lng = lat+40, lng-84
	return town{lat: lat, lng: lng, at: sphere.Of(lat, lng), population: population}
}

var bay = sync.OnceValue(func() *mask {
	m := newMask()
	m.fill([]topojson.Line{square(-84, 40, -82, 42)}, true)
	m.fill([]topojson.Line{square(-83.1, 40.8, -82.9, 43)}, false)
	return m
})

// A bay of water, 0.2 degrees across, reaches from the north into a square of
// land; towns stand on both shores and round its end.
func bayNetwork(links []link, highways []highway) *network {
	towns := []town{
		townAt(1.5, 0.8, 9000), townAt(1.5, 1.2, 8000),
		townAt(1.1, 0.8, 3000), townAt(1.1, 1.2, 3000),
		townAt(0.7, 0.9, 2500), townAt(0.7, 1.1, 2500),
		townAt(0.71, 1.11, 1200), // too near to its neighbour
		townAt(0.2, 0.2, 100),    // small, but alone
	}
	return assemble(bySize(towns), links, highways, bay(), newTerrain(nil))
}

func metresBetween(t *testing.T, n *network, a, b town) int {
	t.Helper()
	lat, lng := n.positions()
	ways := roads.New(lat, lng, n.lengths(fitted)).Search([]roads.Start{{Node: n.number[a.at]}})
	return ways[n.number[b.at]].Metres()
}

func TestRoundTheBay(t *testing.T) {
	n := bayNetwork(nil, nil)
	if len(n.nodes) != 7 {
		t.Errorf("%d nodes, want 7", len(n.nodes))
	}
	west, east := townAt(1.5, 0.8, 0), townAt(1.5, 1.2, 0)
	straight := 1000 * kmBetween(west.at, east.at)
	if got := metresBetween(t, n, west, east); float64(got) < 4*straight {
		t.Errorf("round the bay in %d m, and it is %.0f m across", got, straight)
	}
	n = bayNetwork([]link{{kind: "bridge", from: west, to: east, km: 50}}, nil)
	if got := metresBetween(t, n, west, east); got != 50_000 {
		t.Errorf("over the bridge in %d m, want 50,000", got)
	}
}

func TestHighwayIsStraighter(t *testing.T) {
	a, b := townAt(1.5, 0.8, 0), townAt(0.7, 0.9, 0)
	plain, high := metresBetween(t, bayNetwork(nil, nil), a, b), metresBetween(t, bayNetwork(nil, []highway{{a, b}}), a, b)
	if high >= plain {
		t.Errorf("%d m by highway, %d by lane", high, plain)
	}
}

// A link is never shorter than the straight line, whatever the table says.
func TestLengthsAreNoShorterThanStraight(t *testing.T) {
	n := bayNetwork([]link{{kind: "ferry", from: townAt(1.5, 0.8, 0), to: townAt(1.5, 1.2, 0), km: 1}}, nil)
	for i, e := range n.lengths(fitted) {
		if straight := kmBetween(n.nodes[e.A].at, n.nodes[e.B].at); float64(e.Metres) < 1000*straight {
			t.Errorf("%v is shorter than %v km", e, straight)
		}
		if n.edges[i].relief != 0 {
			t.Errorf("relief %v where no heights are known", n.edges[i].relief)
		}
	}
}

func TestTheSameTwice(t *testing.T) {
	a, b := bayNetwork(nil, nil), bayNetwork(nil, nil)
	if !slices.Equal(a.nodes, b.nodes) || !slices.Equal(a.edges, b.edges) {
		t.Error("two networks of the same towns differ")
	}
}

func TestRelief(t *testing.T) {
	var flat, slope, hills []summit
	for i := range 5 {
		for k := range 5 {
			at := sphere.Of(45+float64(i)/20, 7+float64(k)/20)
			flat = append(flat, summit{at, 300})
			slope = append(slope, summit{at, 300 + 100*float64(i)})
			hills = append(hills, summit{at, 300 + 400*float64((i+k)%2)})
		}
	}
	middle := sphere.Of(45.1, 7.1)
	for name, test := range map[string]struct {
		places   []summit
		from, to float64
	}{"flat": {flat, 0, 1}, "a slope": {slope, 0, 15}, "hills": {hills, 190, 210}, "unknown": {nil, 0, 0}} {
		if got := newTerrain(test.places).relief(middle); got < test.from || got > test.to {
			t.Errorf("%s: relief %v m, want %v to %v", name, got, test.from, test.to)
		}
	}
}

func TestRoadlands(t *testing.T) {
	at := func(lat, lng float64) town { return town{lat: lat, lng: lng, at: sphere.Of(lat, lng)} }
	w := newWilds([]link{{from: at(61.2, -149.9), to: at(61.6, -149.4)}})
	for _, test := range []struct {
		town     town
		roadless bool
	}{
		{at(58.3, -134.4), true},  // Juneau
		{at(61.3, -149.5), false}, // by Anchorage
		{at(39.8, -84.2), false},
	} {
		if got := w.roadless(test.town); got != test.roadless {
			t.Errorf("%v, %v roadless: %v", test.town.lat, test.town.lng, got)
		}
	}
	if !barred(at(9.0, -79.5), at(7.9, -76.6)) || barred(at(40, -84), at(40, -83)) {
		t.Error("the Darién is open, or Ohio closed")
	}
}

// The equations of constants that are known lead back to them.
func TestLeastSquares(t *testing.T) {
	want := fitted
	s := newSum()
	for i := range unknowns {
		var x vec
		x[i], x[(i+1)%unknowns] = 1000, 300
		y := 0.0
		for k, f := range want.fields() {
			y += x[k] * *f
		}
		s.add(x, y, 1)
	}
	got := s.solve()
	for i, f := range got.fields() {
		if math.Abs(*f-*want.fields()[i]) > 1e-4 {
			t.Errorf("constant %d: %v, want %v", i, *f, *want.fields()[i])
		}
	}
}
