package main

import (
	"os"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	pb "heirpress/proto/heirpress/v1"
)

// marksOf are the spans of a hit, by the field of the lot.
func marksOf(hit *pb.SearchHit) map[string][]*pb.Span {
	marks := map[string][]*pb.Span{}
	for _, h := range hit.GetHighlights() {
		marks[h.GetField()] = h.GetSpans()
	}
	return marks
}

// inBold tells whether the answer may have bold words: on a terminal that nobody
// has asked to be plain.
func (a *app) inBold() bool { return os.Getenv("NO_COLOR") == "" && onTerminal(a.out) }

// emphasise sets the words of a search in bold, where that is shown. Nothing is
// said by it that the words do not say.
func (a *app) emphasise(text string, spans []*pb.Span) string {
	if !a.inBold() {
		return text
	}
	return bold(text, spans)
}

// bold sets spans of a text in bold. Spans of another text are passed over.
func bold(text string, spans []*pb.Span) string {
	var b strings.Builder
	end := 0
	for _, s := range spans {
		if from, to := int(s.GetBegin()), int(s.GetEnd()); end <= from && from < to && to <= len(text) {
			b.WriteString(text[end:from] + "\x1b[1m" + text[from:to] + "\x1b[22m")
			end = to
		}
	}
	return b.String() + text[end:]
}

// snippetRunes is about how many characters of a description are shown.
const snippetRunes = 72

// snippet is the part of a lot's description that says a word of the search which
// its title, tag, shop and town do not.
func (a *app) snippet(l *pb.Lot, marks map[string][]*pb.Span) string {
	shown := slices.Concat(
		said(l.GetTitle(), marks["title"]), said(l.GetTag(), marks["tag"]),
		said(l.GetShopTitle(), marks["shop_title"]), said(l.GetTown().GetName(), marks["town.name"]),
	)
	for i, word := range said(l.GetDescription(), marks["description"]) {
		if !slices.ContainsFunc(shown, func(other string) bool { return strings.EqualFold(word, other) }) {
			return a.around(l.GetDescription(), marks["description"], marks["description"][i])
		}
	}
	return ""
}

// said lists the parts of a text that spans name.
func said(text string, spans []*pb.Span) []string {
	var parts []string
	for _, s := range spans {
		if int(s.GetEnd()) > len(text) {
			break
		}
		parts = append(parts, text[s.GetBegin():s.GetEnd()])
	}
	return parts
}

// around is a line of text about a span, cut between words, with what is marked
// in it.
func (a *app) around(text string, spans []*pb.Span, about *pb.Span) string {
	from, to := window(text, int(about.GetBegin()), int(about.GetEnd()))
	var inside []*pb.Span
	for _, s := range spans {
		if int(s.GetBegin()) >= from && int(s.GetEnd()) <= to {
			inside = append(inside, &pb.Span{Begin: s.GetBegin() - int32(from), End: s.GetEnd() - int32(from)})
		}
	}
	line := a.emphasise(text[from:to], inside)
	if from > 0 {
		line = "…" + line
	}
	if to < len(text) {
		line += "…"
	}
	return strings.Join(strings.Fields(line), " ")
}

// window widens a part of a text to whole words, to either side as far as there
// is room.
func window(text string, from, to int) (int, int) {
	room := snippetRunes - utf8.RuneCountInString(text[from:to])
	fits := func(word string) bool {
		n := utf8.RuneCountInString(word)
		if n == 0 || n > room {
			return false
		}
		room -= n
		return true
	}
	for grew := true; grew; {
		grew = false
		if word := wordBefore(text[:from]); fits(word) {
			from, grew = from-len(word), true
		}
		if word := wordAfter(text[to:]); fits(word) {
			to, grew = to+len(word), true
		}
	}
	return from, to
}

// wordBefore is the last word of a text, and the blanks after it.
func wordBefore(text string) string {
	word := strings.TrimRightFunc(text, unicode.IsSpace)
	return text[len(strings.TrimRightFunc(word, notSpace)):]
}

// wordAfter is the blanks that a text begins with, and the first word.
func wordAfter(text string) string {
	word := strings.TrimLeftFunc(text, unicode.IsSpace)
	return text[:len(text)-len(strings.TrimLeftFunc(word, notSpace))]
}

func notSpace(r rune) bool { return !unicode.IsSpace(r) }
