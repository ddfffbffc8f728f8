package search

import (
	"math"

	"github.com/RoaringBitmap/roaring/v2"
	segment "github.com/blevesearch/scorch_segment_api/v2"
)

// How well a lot matches is told by BM25 over weighted groups (BM25F: Robertson,
// Zaragoza and Taylor, "Simple BM25 extension to multiple weighted fields",
// 2004). A word counts the more the fewer lots have it, the heavier the group
// it stands in, and the shorter that group's text.
const (
	saturation = 1.2 // k1: how soon repeats of a word stop counting
	lengthBias = 0.5 // b: how much a long text is held against a word
)

// groupWeight is how much a word counts in each group.
var groupWeight = [groupCount]float64{groupName: 3, groupTag: 2.5, groupDetail: 2, groupWhat: 2, groupAbroad: 0.25, groupShop: 1.5, groupNotes: 1, groupKin: 0.5, groupPairs: 1}

// usualLength is how many tokens a group usually has. It is a constant, and not
// the average of the index, so that one shop's long stories change no other
// shop's scores.
var usualLength = [groupCount]float64{groupName: 6, groupTag: 2, groupDetail: 4, groupWhat: 6, groupAbroad: 2, groupShop: 4, groupNotes: 30, groupKin: 10, groupPairs: 12}

// occurrence is the weight of a word that occurs so often in a group that has
// so many tokens.
func occurrence(g group, times, tokens float64) float64 {
	return groupWeight[g] * times / (1 - lengthBias + lengthBias*tokens/usualLength[g])
}

// share is what a word adds to a lot's score: its weight over all groups,
// saturated, times its rarity.
func share(weight, rarity float64) float64 {
	return rarity * weight * (saturation + 1) / (saturation + weight)
}

// rarity is how telling a word is that so many of all lots have.
func rarity(having, all uint64) float64 {
	return math.Log(1 + (float64(all)-float64(having)+0.5)/(float64(having)+0.5))
}

// A hint is a term that a lot need not have, and is the likelier for: two words
// of the search side by side, or a word as it was typed.
type hint struct {
	group group
	term  string
}

func (h hint) at() fieldTerm { return fieldTerm{groupFields[h.group], h.term} }

// hintShare is how much a hint counts beside a word of the search.
const hintShare = 0.5

// hintsOf lists the hints of a search.
func hintsOf(a analysis) []hint {
	var hints []hint
	for _, word := range unique(a.typed) {
		hints = append(hints, hint{groupKin, word})
	}
	for _, pair := range unique(pairs(a.tokens)) {
		hints = append(hints, hint{groupPairs, pair})
	}
	return hints
}

// score fills in how well each found document matches the words and hints.
func (s *scope) score(f *Filter, rare *rarities) error {
	s.scores = make([]float64, len(s.docs))
	weights := make([]float64, len(s.docs))
	for i, word := range f.words {
		clear(weights)
		for g, place := range wordTerms(word) {
			if err := s.weigh(place, group(g), weights); err != nil {
				return err
			}
		}
		s.addShares(weights, rare.words[i])
	}
	for i, h := range f.hints {
		clear(weights)
		if err := s.weigh(h.at(), h.group, weights); err != nil {
			return err
		}
		s.addShares(weights, hintShare*rare.hints[i])
	}
	return nil
}

func (s *scope) addShares(weights []float64, rarity float64) {
	for d, weight := range weights {
		s.scores[d] += share(weight, rarity)
	}
}

// weigh adds to each found document what one term counts in one group.
func (s *scope) weigh(place fieldTerm, g group, weights []float64) error {
	postings, err := s.postings(place)
	if err != nil {
		return err
	}
	iterator := postings.Iterator(true, true, false, nil)
	// Only the found ones need be visited.
	if all, ok := iterator.(segment.OptimizablePostingsIterator); ok && all.ActualBitmap() != nil {
		all.ReplaceActual(roaring.And(s.found, all.ActualBitmap()))
	}
	for i := 0; ; {
		posting, err := iterator.Next()
		if err != nil || posting == nil {
			return err
		}
		for i < len(s.docs) && uint64(s.docs[i]) < posting.Number() {
			i++
		}
		if i < len(s.docs) && uint64(s.docs[i]) == posting.Number() {
			weights[i] += occurrence(g, float64(posting.Frequency()), tokensOf(posting))
		}
	}
}

// tokensOf is how many tokens a posting's field has. The library tells it as
// one over its root.
func tokensOf(posting segment.Posting) float64 {
	norm := posting.Norm()
	return math.Round(1 / (norm * norm))
}
