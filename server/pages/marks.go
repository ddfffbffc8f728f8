package pages

import (
	"strings"
	"unicode"
	"unicode/utf8"

	pb "heirpress/proto/heirpress/v1"
)

// piece is a part of a text, which a search has found or not.
type piece struct {
	Text   string
	Marked bool
}

// marked parts a text where spans begin and end. Spans of another text are passed
// over.
func marked(text string, spans []*pb.Span) (pieces []piece) {
	end := 0
	add := func(from, to int, is bool) {
		if from < to {
			pieces = append(pieces, piece{text[from:to], is})
		}
	}
	for _, s := range spans {
		if from, to := int(s.GetBegin()), int(s.GetEnd()); end <= from && from < to && to <= len(text) {
			add(end, from, false)
			add(from, to, true)
			end = to
		}
	}
	add(end, len(text), false)
	return pieces
}

func spansOf(h *pb.SearchHit) map[string][]*pb.Span {
	all := map[string][]*pb.Span{}
	for _, one := range h.GetHighlights() {
		all[one.GetField()] = one.GetSpans()
	}
	return all
}

// excerptRunes is about how much of a description is shown about a word.
const excerptRunes = 120

// excerpt is the part of a description about the first word that was found in it;
// nothing where none was.
func excerpt(text string, spans []*pb.Span) []piece {
	if len(spans) == 0 || int(spans[0].GetEnd()) > len(text) {
		return nil
	}
	from, to := about(text, int(spans[0].GetBegin()), int(spans[0].GetEnd()))
	var inside []*pb.Span
	for _, s := range spans {
		if int(s.GetBegin()) >= from && int(s.GetEnd()) <= to {
			inside = append(inside, &pb.Span{Begin: s.GetBegin() - int32(from), End: s.GetEnd() - int32(from)})
		}
	}
	pieces := marked(text[from:to], inside)
	if from > 0 {
		pieces = append([]piece{{Text: "…"}}, pieces...)
	}
	if to < len(text) {
		pieces = append(pieces, piece{Text: "…"})
	}
	return pieces
}

// about widens a part of a text to either side, to where a word begins or ends.
func about(text string, from, to int) (int, int) {
	const side = excerptRunes / 2
	begin, end := from, to
	for n := 0; n < side && begin > 0; n++ {
		_, size := utf8.DecodeLastRuneInString(text[:begin])
		begin -= size
	}
	for n := 0; n < side && end < len(text); n++ {
		_, size := utf8.DecodeRuneInString(text[end:])
		end += size
	}
	if begin > 0 {
		if i := strings.IndexFunc(text[begin:from], unicode.IsSpace); i >= 0 {
			begin += i + 1
		}
	}
	if end < len(text) {
		if i := strings.LastIndexFunc(text[to:end], unicode.IsSpace); i >= 0 {
			end = to + i
		}
	}
	return begin, end
}
