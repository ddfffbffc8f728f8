package search

import "math"

// How well a lot matches is told by BM25 over weighted groups (BM25F: Robertson,
// Zaragoza and Taylor, "Simple BM25 extension to multiple weighted fields",
// 2004). A word counts the more the fewer lots have it, the heavier the group
// it stands in, and the shorter that group's text.
const (
	saturation = 1.2 // k1: how soon repeats of a word stop counting
	lengthBias = 0.5 // b: how much a long text is held against a word
)

// groupWeight is how much a word counts in each group.
var groupWeight = [groupCount]float64{groupName: 3, groupTag: 2.5, groupDetail: 2, groupWhat: 2, groupAbroad: 0.25, groupShop: 1.5, groupNotes: 1, groupKin: 0.5}

// usualLength is how many tokens a group usually has. It is a constant, and not
// the average of the index, so that one shop's long stories change no other
// shop's scores.
var usualLength = [groupCount]float64{groupName: 6, groupTag: 2, groupDetail: 4, groupWhat: 6, groupAbroad: 2, groupShop: 4, groupNotes: 30, groupKin: 10}

// occurrence is the weight of a word that occurs so often in a group that has
// so many tokens.
func occurrence(g group, times, tokens float64) float64 {
	return groupWeight[g] * times / (1 - lengthBias + lengthBias*tokens/usualLength[g])
}

// A level is how much a word counts in a lot, from 1 to levels. What BM25 makes
// of a lot's text is settled when the lot is read, in so many steps, and the
// index files each word under its level: so a search reads bitmaps, and no
// counts and lengths.
type level byte

const levels = 120

// levelOf is the level of a word that has a weight over all groups.
func levelOf(weight float64) level {
	saturated := weight / (saturation + weight) // below 1
	return level(max(1, math.Round(saturated*levels)))
}

// worth is what a word of a level adds to a lot's score for each unit of
// rarity.
func (l level) worth() float64 { return (saturation + 1) / levels * float64(l) }

// levelsOf tells the level of each word of a lot's text.
func levelsOf(texts [groupCount][]string) map[string]level {
	weights := map[string]float64{}
	for g, tokens := range texts {
		one := occurrence(group(g), 1, float64(len(tokens)))
		for _, token := range tokens {
			weights[token] += one
		}
	}
	all := make(map[string]level, len(weights))
	for token, weight := range weights {
		all[token] = levelOf(weight)
	}
	return all
}

// rarity is how telling a word is that so many of all lots have.
func rarity(having, all uint64) float64 {
	return math.Log(1 + (float64(all)-float64(having)+0.5)/(float64(having)+0.5))
}

// A hint is a term that a lot need not have, and is the likelier for: two words
// of the search side by side, or a word as it was typed.
type hint struct {
	field, term string
	// worth is what it adds to a lot's score for each unit of rarity.
	worth float64
}

// What hints are worth: half of what a word would be in the same place.
var (
	typedWorth = levelOf(groupWeight[groupKin]).worth() / 2
	pairWorth  = levelOf(1).worth() / 2
)

// hintsOf lists the hints of a search.
func hintsOf(a analysis) []hint {
	var hints []hint
	for _, word := range unique(a.typed) {
		hints = append(hints, hint{kinField, word, typedWorth})
	}
	for _, pair := range unique(pairs(a.tokens)) {
		hints = append(hints, hint{pairsField, pair, pairWorth})
	}
	return hints
}
