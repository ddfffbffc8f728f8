package roads

import (
	"errors"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawn is a graph drawn at random.
func drawn(t *rapid.T) (lat, lng []float64, edges []Edge) {
	n := rapid.IntRange(2, 12).Draw(t, "nodes")
	for range n {
		lat = append(lat, float64(rapid.IntRange(-900_000, 900_000).Draw(t, "lat"))/degree)
		lng = append(lng, float64(rapid.IntRange(-1_800_000, 1_799_999).Draw(t, "lng"))/degree)
	}
	for a := range n {
		for b := a + 1; b < n; b++ {
			if rapid.IntRange(0, 2).Draw(t, "joined") == 0 {
				edges = append(edges, Edge{a, b, rapid.IntRange(1, 400_000).Draw(t, "metres"), Class(rapid.IntRange(0, 3).Draw(t, "class"))})
			}
		}
	}
	return lat, lng, edges
}

func TestFileBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lng, edges := drawn(t)
		g, err := Read(Write(lat, lng, edges))
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(g.Lat, lat) || !slices.Equal(g.Lng, lng) || !slices.Equal(g.Edges(), edges) {
			t.Fatalf("%v %v %v came back as %v %v %v", lat, lng, edges, g.Lat, g.Lng, g.Edges())
		}
	})
}

func TestReadRefuses(t *testing.T) {
	good := Write([]float64{1, 2}, []float64{3, 4}, []Edge{{0, 1, 5000, Ferry}})
	for n := range good {
		if _, err := Read(good[:n]); !errors.Is(err, ErrFormat) {
			t.Errorf("the first %d bytes: %v", n, err)
		}
	}
	bad := map[string][]byte{
		"another magic word": append([]byte("heirway9"), good[8:]...),
		"bytes to spare":     append(slices.Clone(good), 0),
		"an edge to itself":  Write([]float64{1, 2}, []float64{3, 4}, []Edge{{1, 1, 5, Lane}}),
		"no such node":       Write([]float64{1, 2}, []float64{3, 4}, []Edge{{1, 2, 5, Lane}}),
	}
	for name, data := range bad {
		if _, err := Read(data); !errors.Is(err, ErrFormat) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(Write([]float64{1, 2}, []float64{3, 4}, []Edge{{0, 1, 5000, Ferry}}))
	f.Fuzz(func(t *testing.T, data []byte) {
		if g, err := Read(data); err == nil && g.Len() > 0 {
			g.Search([]Start{{Node: 0}})
		}
	})
}
