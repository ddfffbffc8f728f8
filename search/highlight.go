package search

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	pb "heirpress/proto/heirpress/v1"
)

// Highlight tells where the words of a filter stand in what a lot says, field by
// field, as searching reads both: fount stands where it says font, and KR15 where
// it says KR-15. A word that the lot does not say, and is found by because of
// what it says instead, stands there: a dingbat where it says fleurons. A lot may
// be found by its kind or figures too, and those stand nowhere.
func Highlight(f *Filter, lot *pb.Lot) []*pb.Highlight {
	if len(f.words)+len(f.beginnings) == 0 {
		return nil
	}
	h := &highlighter{filter: f, kind: lot.GetKind(), vocabulary: theVocabulary(), unsaid: map[string]bool{}}
	for _, word := range f.words {
		h.unsaid[word] = true
	}
	var texts []*markedText
	for _, said := range lotTexts(lot) {
		if said.field != "" && said.text != "" {
			texts = append(texts, h.mark(said))
		}
	}
	var all []*pb.Highlight
	for _, t := range texts {
		h.markKin(t)
		if spans := t.spans(); len(spans) > 0 {
			all = append(all, &pb.Highlight{Field: t.said.field, Spans: spans})
		}
	}
	return all
}

// highlighter looks for the words of one filter in the texts of one lot.
type highlighter struct {
	filter     *Filter
	kind       pb.Kind
	vocabulary *vocabulary
	unsaid     map[string]bool // words that stand nowhere so far
}

// markedText is a text of a lot, and where it is marked.
type markedText struct {
	said    lotText
	phrases []saidPhrase
	marked  []stretch
}

// saidPhrase is a word or phrase of a text.
type saidPhrase struct {
	// tokens are what it says, and others what else it is found by.
	tokens, others []string
	at             stretch
}

// mark marks where a text says the words of the filter.
func (h *highlighter) mark(said lotText) *markedText {
	t := &markedText{said: said, phrases: h.vocabulary.phrasesIn(said.text)}
	for _, p := range t.phrases {
		for _, token := range p.tokens {
			if h.asksFor(token) {
				delete(h.unsaid, token)
				t.marked = append(t.marked, p.at)
			}
		}
	}
	return t
}

// lacks tells whether a word of the filter stands nowhere so far.
func (h *highlighter) lacks(word string) bool { return h.unsaid[word] }

func (h *highlighter) asksFor(token string) bool {
	return slices.Contains(h.filter.words, token) ||
		slices.ContainsFunc(h.filter.beginnings, func(b beginning) bool { return b.covers(token) })
}

// phrasesIn reads a text phrase by phrase.
func (v *vocabulary) phrasesIn(text string) []saidPhrase {
	folded := foldTraced(text)
	words, _ := v.read(folded.text)
	var phrases []saidPhrase
	v.eachPhrase(textsOf(words), func(at int, r rule) {
		first, last := words[at], words[at+max(len(r.from), 1)-1]
		p := saidPhrase{tokens: r.to, others: r.from, at: folded.written(min(first.from, last.from), max(first.to, last.to))}
		if r.from == nil {
			p.tokens = []string{first.text}
		}
		for _, word := range words[at : at+max(len(r.from), 1)] {
			p.others = append(p.others, numbersIn(folded.text, word)...)
		}
		phrases = append(phrases, p)
	})
	return phrases
}

// numbersIn lists the numbers that a size or measure was made of.
func numbersIn(folded string, t token) []string {
	if !t.size {
		return nil
	}
	var numbers []string
	for _, part := range joinFractions(scan(folded[t.from:t.to])) {
		if part.number {
			numbers = append(numbers, part.text)
		}
	}
	return numbers
}

// markKin marks what brings with it the words that stand nowhere.
func (h *highlighter) markKin(t *markedText) {
	if len(h.unsaid) == 0 {
		return
	}
	var tokens []string
	var of []stretch // beside tokens
	for _, p := range t.phrases {
		if slices.ContainsFunc(p.others, h.lacks) {
			t.marked = append(t.marked, p.at)
		}
		for _, token := range p.tokens {
			tokens, of = append(tokens, token), append(of, p.at)
		}
	}
	if t.said.group == groupTag || t.said.group == groupShop {
		return // They bring nothing with them.
	}
	for i, token := range tokens {
		for _, rules := range [][]rule{h.vocabulary.kin[token], h.vocabulary.within[h.kind][token]} {
			for _, r := range rules {
				if beginsWith(tokens[i:], r.from) && slices.ContainsFunc(r.to, h.lacks) {
					t.marked = append(t.marked, of[i:i+len(r.from)]...)
				}
			}
		}
	}
}

// spans are the marked parts of the text in order, each once. What only a sign
// parts, as in KR-15, is one.
func (t *markedText) spans() []*pb.Span {
	slices.SortFunc(t.marked, func(a, b stretch) int { return cmp.Or(a.from-b.from, a.to-b.to) })
	var spans []*pb.Span
	for _, m := range t.marked {
		if last := len(spans) - 1; last >= 0 && joins(t.said.text, int(spans[last].End), m.from) {
			spans[last].End = max(spans[last].End, int32(m.to))
			continue
		}
		spans = append(spans, &pb.Span{Begin: int32(m.from), End: int32(m.to)})
	}
	return spans
}

// joins tells whether at most one sign stands between two parts of a text.
func joins(text string, end, from int) bool {
	if from <= end {
		return true
	}
	sign, size := utf8.DecodeRuneInString(text[end:from])
	return size == from-end && !unicode.IsSpace(sign) && !strings.ContainsRune(",;:.!?&+()", sign)
}
