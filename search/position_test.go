package search

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestPositionIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Position{
			ranking: ranking(rapid.IntRange(1, 3).Draw(t, "ranking")),
			key:     rapid.OneOf(rapid.Float64(), rapid.Just(math.Inf(-1))).Draw(t, "key"),
			posted:  rapid.Uint64().Draw(t, "posted"),
			name:    rapid.String().Draw(t, "name"),
		}
		got, err := ParsePosition(p.Bytes())
		if err != nil || *got != p {
			t.Fatalf("%v is read back as %v, %v", p, got, err)
		}
	})
}

func FuzzParsePosition(f *testing.F) {
	good := Position{ranking: byScore, key: 1.5, posted: 7, name: "shops/corwen/lots/a-7"}.Bytes()
	f.Add(good)
	for _, spoilt := range [][]byte{nil, good[:25], append([]byte{1}, good[1:]...), append([]byte{2, 0}, good[2:]...), append([]byte{2, 4}, good[2:]...)} {
		f.Add(spoilt)
		if p, err := ParsePosition(spoilt); err == nil {
			f.Errorf("%x is read as %v", spoilt, p)
		}
	}
	for _, p := range []Position{{ranking: byScore, key: math.NaN()}, {ranking: byScore, near: math.NaN()}} {
		if p, err := ParsePosition(p.Bytes()); err == nil {
			f.Errorf("a key that is no number is read as %v", p)
		}
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := ParsePosition(b)
		if err == nil && string(p.Bytes()) != string(b) {
			t.Fatalf("%x is read as %v, which is written as %x", b, p, p.Bytes())
		}
	})
}
