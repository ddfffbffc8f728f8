package outline

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

var lines = rapid.SliceOf(rapid.Custom(func(t *rapid.T) Line {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Point {
		return Point{rapid.Float64Range(-90, 90).Draw(t, "lat"), rapid.Float64Range(-180, 180).Draw(t, "lng")}
	}), 2, 20).Draw(t, "line")
}))

// What is packed is unpacked to half a step.
func TestPack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Set{Land: lines.Draw(t, "land"), States: lines.Draw(t, "states")}
		got, err := Unpack(Pack(s))
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Lakes) > 0 || len(got.Borders) > 0 {
			t.Fatalf("lines where there were none: %v", got)
		}
		near(t, s.Land, got.Land)
		near(t, s.States, got.States)
	})
}

func near(t *rapid.T, want, got []Line) {
	i := 0
	for _, line := range want {
		if len(stepsOf(line)) < 2 {
			continue
		}
		first, last := got[i][0], got[i][len(got[i])-1]
		if apart(first, line[0]) || apart(last, line[len(line)-1]) {
			t.Fatalf("line %d goes from %v to %v, not %v to %v", i, first, last, line[0], line[len(line)-1])
		}
		i++
	}
	if i != len(got) {
		t.Fatalf("%d lines, not %d", len(got), i)
	}
}

func apart(a, b Point) bool {
	return math.Abs(a.Lat-b.Lat) > 0.5001/perDegree || math.Abs(a.Lng-b.Lng) > 0.5001/perDegree
}

func FuzzUnpack(f *testing.F) {
	good := Pack(Set{Land: []Line{{{1, 2}, {3, 4}, {1, 2}}}})
	for _, b := range [][]byte{good, good[:len(good)-1], nil, {0xff, 0xff, 0xff, 0xff, 0xff, 0x0f}, append(good, 0)} {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if s, err := Unpack(b); err == nil && len(s.Land) > len(b) {
			t.Fatalf("%d lines out of %d bytes", len(s.Land), len(b))
		}
	})
}
