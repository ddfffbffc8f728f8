package search

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A word's level is its BM25F weight, saturated, to the nearest step.
func TestLevels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var texts [groupCount][]string
		for g := range texts {
			texts[g] = rapid.SliceOfN(rapid.SampledFrom([]string{"platen", "press", "rule", "case"}), 0, 9).Draw(t, "text")
		}
		for word, l := range levelsOf(texts) {
			var weight float64
			for g, tokens := range texts {
				times := 0
				for _, token := range tokens {
					if token == word {
						times++
					}
				}
				weight += groupWeight[g] * float64(times) / (0.5 + 0.5*float64(len(tokens))/usualLength[g])
			}
			exact := weight * 2.2 / (1.2 + weight)
			if l < 1 || l > levels || math.Abs(l.worth()-exact) > 2.2/levels {
				t.Fatalf("%q of weight %v has level %d, worth %v, not %v", word, weight, l, l.worth(), exact)
			}
		}
	})
}

// A level can be filed and read back as one byte, and tells of weights apart
// that groups give.
func TestLevelsTellGroupsApart(t *testing.T) {
	last := level(levels)
	for _, g := range []group{groupName, groupTag, groupDetail, groupShop, groupNotes, groupKin, groupAbroad} {
		if l := levelOf(groupWeight[g]); l >= last {
			t.Errorf("group %d is not below the one before it: %d, %d", g, l, last)
		} else {
			last = l
		}
	}
}
