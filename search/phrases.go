package search

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A phrase is what stands between quotation marks in a search: its words must
// stand side by side, in that order, in one of the things that a lot says. A lot
// is known by which two words stand side by side, so of a phrase of three the
// first two and the last two must, and may in two places.

// What begins a phrase, and what may end it.
const (
	openingMarks = `"“”„«`
	closingMarks = `"“”»`
)

// partPhrases writes blanks for the quotation marks in the words of a search, so
// that all else stays in its place, and lists what stands between them. The mark
// of 10" is none: a phrase begins where a word does, and ends where one does.
func partPhrases(words string) (whole string, phrases []string) {
	if !strings.ContainsAny(words, openingMarks) {
		return words, nil
	}
	var b strings.Builder
	for {
		at, inner := firstPhrase(words)
		if at.to == 0 {
			return b.String() + words, phrases
		}
		b.WriteString(words[:at.from] + blanks(inner.from-at.from) + words[inner.from:inner.to] + blanks(at.to-inner.to))
		phrases = append(phrases, words[inner.from:inner.to])
		words = words[at.to:]
	}
}

func blanks(n int) string { return strings.Repeat(" ", n) }

// firstPhrase finds the first phrase of a text, with its marks and without. Both
// are empty if there is none.
func firstPhrase(text string) (at, inner stretch) {
	for i, r := range text {
		if !strings.ContainsRune(openingMarks, r) || !beginsHere(text[:i], text[i+utf8.RuneLen(r):]) {
			continue
		}
		begin := i + utf8.RuneLen(r)
		if end, past := firstClosing(text, begin); past > 0 {
			return stretch{i, past}, stretch{begin, end}
		}
	}
	return stretch{}, stretch{}
}

// firstClosing finds the mark that ends a phrase; past is 0 if there is none.
func firstClosing(text string, begin int) (end, past int) {
	for i, r := range text[begin:] {
		if i > 0 && strings.ContainsRune(closingMarks, r) && endsHere(text[begin+i+utf8.RuneLen(r):]) {
			return begin + i, begin + i + utf8.RuneLen(r)
		}
	}
	return 0, 0
}

// beginsHere tells whether a mark between two texts begins a phrase.
func beginsHere(before, after string) bool {
	last, _ := utf8.DecodeLastRuneInString(before)
	next, _ := utf8.DecodeRuneInString(after)
	return (before == "" || !unicode.IsLetter(last) && !unicode.IsDigit(last)) && after != "" && !unicode.IsSpace(next) && !strings.ContainsRune(closingMarks, next)
}

// endsHere tells whether a mark before a text ends a phrase.
func endsHere(after string) bool {
	next, _ := utf8.DecodeRuneInString(after)
	return after == "" || !unicode.IsLetter(next) && !unicode.IsDigit(next)
}

// pairsAsked lists the words that must stand side by side, two by two.
func pairsAsked(phrases []string) []string {
	var all []string
	for _, phrase := range phrases {
		all = append(all, pairs(theVocabulary().analyze(phrase).tokens)...)
	}
	return unique(all)
}

// pairTerms lists for each pair the places it may stand in.
func pairTerms(pairs []string) [][]fieldTerm {
	var all [][]fieldTerm
	for _, pair := range pairs {
		all = append(all, []fieldTerm{{pairsField, pair}, {besideField, pair}})
	}
	return all
}

// beside lists the words that stand side by side in a lot and do not tell how
// well it matches: those that are not among its telling pairs.
func (f *Facts) beside(telling []string) []string {
	known := map[string]bool{}
	for _, pair := range telling {
		known[pair] = true
	}
	var all []string
	for _, run := range f.runs {
		for _, pair := range pairs(run) {
			if !known[pair] {
				known[pair] = true
				all = append(all, pair)
			}
		}
	}
	return all
}

// sideBySide is every two words that stand side by side in a lot.
func (f *Facts) sideBySide() map[string]bool {
	has := map[string]bool{}
	telling := pairsOf(f.texts)
	for _, pair := range append(telling, f.beside(telling)...) {
		has[pair] = true
	}
	return has
}

// admitsPairs asks that the words of each phrase stand side by side.
func (f *Filter) admitsPairs(lot *Facts) bool {
	if len(f.pairs) == 0 {
		return true
	}
	has := lot.sideBySide()
	return !slices.ContainsFunc(f.pairs, func(pair string) bool { return !has[pair] })
}

// hidden stands in place of a phrase while the words beside it are read. The
// brackets part it from a place's name.
const hidden = "(\ue000)"

// hidePhrases puts something that says nothing in the place of each phrase.
func hidePhrases(words string) (open string, phrases []string) {
	if strings.Contains(words, hidden) {
		return words, nil
	}
	var b strings.Builder
	for {
		at, _ := firstPhrase(words)
		if at.to == 0 {
			return b.String() + words, phrases
		}
		b.WriteString(words[:at.from] + hidden)
		phrases = append(phrases, words[at.from:at.to])
		words = words[at.to:]
	}
}

// showPhrases puts phrases back in their places.
func showPhrases(open string, phrases []string) string {
	for _, phrase := range phrases {
		open = strings.Replace(open, hidden, phrase, 1)
	}
	return open
}
