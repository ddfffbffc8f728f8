package search

import (
	"slices"
	"strings"
	"unicode"
)

// analysisVersion is part of the name of an index: raise it with every change
// of the code that turns text into tokens, and indexes are rebuilt. A change of
// vocabulary.txt needs no raise.
const analysisVersion = 3

// Analyze folds text into the tokens that lots and searches share, in order.
// Case, accents, plurals and the vocabulary's spellings are folded; letters are
// parted from digits, sizes and measures made one token in one unit, and words
// that say nothing left out. It may return nothing.
func Analyze(text string) []string { return theVocabulary().analyze(text).tokens }

// analysis is what a text says, and how it said it.
type analysis struct {
	// tokens are what must meet.
	tokens []string
	// own and abroad are the tokens that were said in English or a name, and
	// those that another language's words came to.
	own, abroad []string
	// numbers are the numbers in it, without their units.
	numbers []string
	// typed are the words that a rule of the vocabulary wrote otherwise, as they
	// were typed: where they meet too, a lot is the likelier one.
	typed []string
}

// analyze reads a text by this vocabulary.
func (v *vocabulary) analyze(text string) analysis {
	tokens, numbers := v.read(fold(text))
	a := v.foldPhrases(textsOf(tokens))
	a.numbers = numbers
	return a
}

// words reads a text as far as single words go, before phrases are folded.
func (v *vocabulary) words(text string) []string {
	tokens, _ := v.read(fold(text))
	return textsOf(tokens)
}

func textsOf(tokens []token) []string {
	texts := make([]string, len(tokens))
	for i, t := range tokens {
		texts[i] = t.text
	}
	return texts
}

// read reads a folded text's words, and every number in it.
func (v *vocabulary) read(folded string) (words []token, numbers []string) {
	all := joinFractions(joinInitials(scan(folded)))
	for _, t := range all {
		if t.number {
			numbers = append(numbers, t.text)
		}
	}
	all = v.joinMeasures(joinSizes(v.readNumerals(all), v.units))
	for i, t := range all {
		switch {
		case t.figure():
			words = append(words, t)
		case v.tails[t.text] && i > 0 && all[i-1].size && !besideFigure(all, i):
			// High, of 60 line high, says no more.
		case !v.stops[t.text] || besideFigure(all, i):
			t.text = stem(t.text)
			words = append(words, t)
		}
	}
	return words, numbers
}

// besideFigure tells whether a token is written together with a number: the a
// of A-7 and of 25A says something.
func besideFigure(all []token, i int) bool {
	return i > 0 && all[i-1].figure() && together(all[i].gap) ||
		i+1 < len(all) && all[i+1].figure() && together(all[i+1].gap)
}

func together(gap string) bool { return !strings.ContainsFunc(gap, unicode.IsSpace) }

// joinInitials makes one word of letters with only a stop, a stroke or a dash
// between them, or a blank before a number: K.R. and KR, l.c. and lc, K-R-15, K R
// 15 and KR15 meet.
func joinInitials(tokens []token) []token {
	joined := tokens[:0]
	before := false // the token before is initials
	for i, t := range tokens {
		initial := !t.number && len(t.text) == 1
		coded := (t.gap == " " || t.gap == ". ") && i+1 < len(tokens) && tokens[i+1].number && t.text != "x" && t.text != "a"
		if initial && before && (slices.Contains(initialGaps, t.gap) || coded) {
			joined[len(joined)-1].text += t.text
			joined[len(joined)-1].to = t.to
			continue
		}
		joined, before = append(joined, t), initial
	}
	return joined
}

// initialGaps are what people write between initials.
var initialGaps = []string{".", "/", "-", "_", "·"}
