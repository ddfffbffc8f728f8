package roads

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heirpress/search/place/internal/sphere"
)

// byHand finds the best ways by going over all edges again and again.
func byHand(nodes int, edges []Edge, starts []Start) []Way {
	ways := make([]Way, nodes)
	for i := range ways {
		ways[i] = Nowhere
	}
	for _, s := range starts {
		ways[s.Node] = min(ways[s.Node], s.Way)
	}
	for range nodes {
		for _, e := range edges {
			w := arc{size: uint32(e.Metres)<<classBits | uint32(e.Class)}.way()
			if ways[e.A] != Nowhere {
				ways[e.B] = min(ways[e.B], ways[e.A]+w)
			}
			if ways[e.B] != Nowhere {
				ways[e.A] = min(ways[e.A], ways[e.B]+w)
			}
		}
	}
	return ways
}

func TestSearchFindsTheBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lng, edges := drawn(t)
		starts := []Start{
			{rapid.IntRange(0, len(lat)-1).Draw(t, "start"), Over(rapid.IntRange(0, 20_000).Draw(t, "metres"))},
			{rapid.IntRange(0, len(lat)-1).Draw(t, "other"), Over(rapid.IntRange(0, 20_000).Draw(t, "metres"))},
		}
		g := New(lat, lng, edges)
		got, want := g.Search(starts), byHand(len(lat), edges, starts)
		for n := range got {
			if got[n] != want[n] {
				t.Fatalf("to %d: %v, want %v", n, got[n], want[n])
			}
		}
	})
}

// What is within so many metres is the best, and what is said to be beyond is.
func TestBestWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lng, edges := drawn(t)
		g := New(lat, lng, edges)
		start := []Start{{Node: rapid.IntRange(0, len(lat)-1).Draw(t, "start")}}
		want, r := g.Search(start), g.Begin(start)
		for range 5 {
			n, metres := rapid.IntRange(0, len(lat)-1).Draw(t, "end"), rapid.IntRange(0, 2_000_000).Draw(t, "metres")
			got, beyond := r.BestWithin([]Start{{Node: n}}, metres)
			switch {
			case beyond && want[n] != Nowhere && want[n].Metres() <= metres:
				t.Fatalf("%d is said to be beyond %d m, and is %d m off", n, metres, want[n].Metres())
			case !beyond && got != want[n]:
				t.Fatalf("to %d: %v, want %v", n, got, want[n])
			}
		}
	})
}

// The way there and the way back are one, to the last bit.
func TestSearchBothWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lng, edges := drawn(t)
		g := New(lat, lng, edges)
		a, b := rapid.IntRange(0, len(lat)-1).Draw(t, "a"), rapid.IntRange(0, len(lat)-1).Draw(t, "b")
		there, back := g.Search([]Start{{Node: a}})[b], g.Search([]Start{{Node: b}})[a]
		if there != back {
			t.Fatalf("%v there, %v back", there, back)
		}
	})
}

func TestTraceAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lng, edges := drawn(t)
		g := New(lat, lng, edges)
		a, b := rapid.IntRange(0, len(lat)-1).Draw(t, "a"), rapid.IntRange(0, len(lat)-1).Draw(t, "b")
		ways := g.Search([]Start{{Node: a}})
		if ways[b] == Nowhere {
			return
		}
		metres, node := 0, b
		g.Trace(ways, b, func(e Edge) {
			metres += e.Metres
			node = e.A + e.B - node
		})
		if node != a || metres != ways[b].Metres() {
			t.Fatalf("traced to %d, %d m; want %d, %d m", node, metres, a, ways[b].Metres())
		}
	})
}

// Drivers keep to the great road where that is little longer, and go round by
// land rather than sail.
func TestChoice(t *testing.T) {
	lat, lng := make([]float64, 3), make([]float64, 3)
	tests := []struct {
		name         string
		direct       Edge
		round        int // metres of each of two highways by way of node 2
		metres, ship int
	}{
		{"a lane that saves much", Edge{0, 2, 90_000, Lane}, 50_000, 90_000, 0},
		{"a lane that saves little", Edge{0, 2, 98_000, Lane}, 50_000, 100_000, 0},
		{"a ferry that saves little", Edge{0, 2, 30_000, Ferry}, 110_000, 220_000, 0},
		{"a ferry that saves much", Edge{0, 2, 30_500, Ferry}, 120_000, 30_500, 31},
	}
	for _, test := range tests {
		g := New(lat, lng, []Edge{{0, 1, test.round, Highway}, test.direct, {1, 2, test.round, Highway}})
		if w := g.Search([]Start{{Node: 0}})[2]; w.Metres() != test.metres || w.ShipKm() != test.ship {
			t.Errorf("%s: %d m, %d km by ship, want %d, %d", test.name, w.Metres(), w.ShipKm(), test.metres, test.ship)
		}
	}
}

func TestNearestByHand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lng, _ := drawn(t)
		near := rapid.SampledFrom([]int{0, 1}).Draw(t, "near")
		p := [2]float64{
			max(-90, min(90, lat[near]+rapid.Float64Range(-0.9, 0.9).Draw(t, "north"))),
			math.Mod(lng[near]+rapid.Float64Range(-0.9, 0.9).Draw(t, "east")+540, 360) - 180,
		}
		best, least := -1, 9.0
		for n := range lat {
			if d := sphere.Of(lat[n], lng[n]).Chord2(sphere.Of(p[0], p[1])); d < least {
				best, least = n, d
			}
		}
		got := NewFinder(New(lat, lng, nil)).Nearest(p[0], p[1])
		if const100km := 100.0 / 6371; least < const100km*const100km && (got < 0 || sphere.Of(lat[got], lng[got]).Chord2(sphere.Of(p[0], p[1])) > least) {
			t.Fatalf("nearest to %v: %d, want %d, %v off", p, got, best, math.Sqrt(least)*6371)
		}
	})
}
