package search

import (
	"strings"
	"unicode"
)

// analysisVersion is part of the name of an index: raise it with every change
// of the code that turns text into tokens, and indexes are rebuilt. A change of
// vocabulary.txt needs no raise.
const analysisVersion = 1

// Analyze folds text into the tokens that lots and searches share, in order.
// Case, accents, plurals and the vocabulary's spellings are folded; letters are
// parted from digits, sizes made one token, units written one way after a
// number, and words that say nothing left out. It may return nothing.
func Analyze(text string) []string {
	v := theVocabulary()
	all := joinSizes(joinFractions(scan(fold(text))), v.units)
	var tokens []string
	for i, t := range all {
		unit := v.units[t.text]
		switch {
		case t.number, t.size:
			tokens = append(tokens, t.text)
		case unit != "" && i > 0 && all[i-1].figure():
			tokens = append(tokens, unit)
		case !v.stops[t.text] || besideFigure(all, i):
			tokens = append(tokens, stem(t.text))
		}
	}
	return v.foldPhrases(tokens)
}

// besideFigure tells whether a token is written together with a number: the a
// of A-7 and of 25A says something.
func besideFigure(all []token, i int) bool {
	return i > 0 && all[i-1].figure() && together(all[i].gap) ||
		i+1 < len(all) && all[i+1].figure() && together(all[i+1].gap)
}

func together(gap string) bool { return !strings.ContainsFunc(gap, unicode.IsSpace) }
