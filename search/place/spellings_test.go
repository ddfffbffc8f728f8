package place

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"
)

// plainNear is the towns that one reading of all names finds within some slips of
// a key.
func plainNear(key string) []hit {
	s := newSpeller(key)
	all := theSpellings()
	for name, town := range all.town {
		s.try(int(town), all.key(name))
	}
	return sortedHits(s.hits)
}

func walkedNear(key string) []hit {
	s := newSpeller(key)
	all := theSpellings()
	all.near(key, s.slips, func(name int) { s.try(int(all.town[name]), all.key(name)) })
	return sortedHits(s.hits)
}

func sortedHits(hits []hit) []hit {
	slices.SortFunc(hits, func(a, b hit) int { return cmp.Or(a.town-b.town, a.halves-b.halves) })
	return slices.Compact(hits)
}

// What the walk finds is what reading every name finds, for names with letters
// changed, swapped, put in and taken out at random.
func TestWalkFindsAllNear(t *testing.T) {
	random := rand.New(rand.NewPCG(6, 7))
	all := theSpellings()
	n := 400
	if testing.Short() {
		n = 60
	}
	for range n {
		key := slip(random, slip(random, string(all.key(random.IntN(len(all.town))))))
		if want, got := plainNear(key), walkedNear(key); !slices.Equal(got, want) {
			t.Errorf("near %q: %d towns, want %d", key, len(got), len(want))
		}
	}
	for _, key := range []string{"", "a", "ab", "abc", "abcd", "stst", "москва", "llanfairpwllgwyngyllgogerychwyrndrobwllllantysiliogogogoch"} {
		if want, got := plainNear(key), walkedNear(key); !slices.Equal(got, want) {
			t.Errorf("near %q: %v, want %v", key, got, want)
		}
	}
}

// slip changes a key as a slip of the pen would.
func slip(random *rand.Rand, key string) string {
	b := []byte(key)
	i, letter := random.IntN(len(b)+1), byte('a'+random.IntN(26))
	switch kind := random.IntN(4); {
	case kind == 0 || i == len(b):
		b = slices.Insert(b, i, letter)
	case kind == 1:
		b = slices.Delete(b, i, i+1)
	case kind == 2:
		b[i] = letter
	case i > 0:
		b[i-1], b[i] = b[i], b[i-1]
	}
	return string(b)
}

// Every name of the gazetteer is among the spellings, in order.
func TestSpellingsHoldEveryName(t *testing.T) {
	all := theSpellings()
	towns := map[int32]bool{}
	for i, town := range all.town {
		towns[town] = true
		if i > 0 && string(all.key(i-1)) > string(all.key(i)) {
			t.Fatalf("%s comes after %s", all.key(i-1), all.key(i))
		}
	}
	if len(towns) != gazetteer().Len() || len(all.ending) != len(all.town) {
		t.Errorf("%d towns of %d, %d endings", len(towns), gazetteer().Len(), len(all.ending))
	}
}

func BenchmarkNewSpellings(b *testing.B) {
	for b.Loop() {
		newSpellings()
	}
}
