package search

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	pb "heirpress/proto/heirpress/v1"
)

// marked writes a lot's texts with what is highlighted in brackets.
func marked(lot *pb.Lot, all []*pb.Highlight) string {
	texts := map[string]string{}
	for _, said := range lotTexts(lot) {
		texts[said.field] = said.text
	}
	var lines []string
	for _, h := range all {
		var b strings.Builder
		end := int32(0)
		for _, s := range h.Spans {
			b.WriteString(texts[h.Field][end:s.Begin] + "[" + texts[h.Field][s.Begin:s.End] + "]")
			end = s.End
		}
		lines = append(lines, h.Field+": "+b.String()+texts[h.Field][end:])
	}
	return strings.Join(lines, " | ")
}

func TestHighlight(t *testing.T) {
	lot := &pb.Lot{
		Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER, Tag: "A-7", Make: "Ödegård",
		Title:       "KR-15 platen, 10 × 15 in",
		Description: "A font of 10 inch letters goes with it. The presse à épreuves – 6½ in – is sold; rollers, table top and fleurons are not. N° 4.",
		Town:        &pb.Town{Name: "Dayton"},
	}
	cases := []struct{ words, want string }{
		{"", ""}, {"xyzzy", ""},
		{"KR15", "title: [KR-15] platen, 10 × 15 in"},
		{"kr", "title: [KR]-15 platen, 10 × 15 in"},
		{"15x10", "title: KR-15 platen, [10 × 15 in]"},
		{"odegard", "make: [Ödegård]"}, {"dayton", "town.name: [Dayton]"},
		{"a7", "tag: [A-7]"},
		{"plat*", "title: KR-15 [platen], 10 × 15 in"},
	}
	for _, c := range cases {
		if got := marked(lot, Highlight(Compile(wordsAlone(c.words)), lot)); got != c.want {
			t.Errorf("%q\nmarks %s\nnot   %s", c.words, got, c.want)
		}
	}
	notes := map[string]string{
		"fount": "font", "10 inch": "10 inch", "254 mm": "10 inch", "proof": "presse à épreuves", "6.5 in": "6½ in", "roller": "rollers",
		"tabletop": "table top", "dingbat": "fleurons", "ornament": "fleurons", "number 4": "N°,4", "épreuve": "presse à épreuves", "60 line": "", "jobber": "",
	}
	for words, want := range notes {
		var got []string
		for _, h := range Highlight(Compile(wordsAlone(words)), lot) {
			for _, s := range h.Spans {
				if h.Field == "description" {
					got = append(got, lot.Description[s.Begin:s.End])
				}
			}
		}
		if strings.Join(got, ",") != want {
			t.Errorf("%q marks %q in the description, not %q", words, got, want)
		}
	}
}

// spansHold asks that spans are in order, apart, in bounds and between runes.
func spansHold(t testing.TB, text string, spans []*pb.Span) {
	t.Helper()
	end := int32(-1)
	for _, s := range spans {
		if s.Begin <= end || s.End <= s.Begin || int(s.End) > len(text) {
			t.Fatalf("%q has spans %v", text, spans)
		}
		if !utf8.RuneStart(text[s.Begin]) || int(s.End) < len(text) && !utf8.RuneStart(text[s.End]) {
			t.Fatalf("%q: a span of %v cuts a character", text, spans)
		}
		end = s.End
	}
}

// Of a lot that passes, every word of the filter that it says is highlighted
// where it says so, and what is highlighted says it.
func TestHighlightsOfMatches(t *testing.T) {
	d := newDice(51)
	passed := 0
	for range 4000 {
		lot, f := d.lot(d.IntN(200), 1), Compile(&pb.LotFilter{Words: d.filter().GetWords() + " " + pick(d, someWords), States: everyState()})
		if ok, _ := f.Matches(lot); !ok {
			continue
		}
		passed++
		texts := map[string]string{}
		says := map[string]bool{}
		for _, said := range lotTexts(lot) {
			if said.field != "" {
				texts[said.field] = said.text
				for _, token := range Analyze(said.text) {
					says[token] = true
				}
			}
		}
		shown := map[string]bool{}
		for _, h := range Highlight(f, lot) {
			spansHold(t, texts[h.Field], h.Spans)
			for _, s := range h.Spans {
				for _, token := range Analyze(texts[h.Field][s.Begin:s.End]) {
					shown[token] = true
				}
			}
		}
		for _, word := range f.words {
			if says[word] && !shown[word] {
				t.Fatalf("%v: %q is said and not shown", lot, word)
			}
		}
	}
	if passed < 300 {
		t.Errorf("only %d lots passed", passed)
	}
}

func everyState() []pb.LotState {
	var all []pb.LotState
	for state := pb.LotState_LOT_STATE_DRAFT; state <= pb.LotState_LOT_STATE_WITHDRAWN; state++ {
		all = append(all, state)
	}
	return all
}

// A text is folded the same with and without its traces, and whatever is looked
// for stands in whole characters of it.
func FuzzHighlight(f *testing.F) {
	for _, text := range []string{"KR-15", "6½ in", "n° 4", "Ödegård", "e\u0301\u0323 x", "ﬁne 12㏋", "Ⅻ½⅓", "ß'n 10\"x15\"", "각 ㅏ", "\xff½", "a\u0338\u0301", "½½", "n\u0301°"} {
		f.Add(text, "15")
		f.Add(text, text)
	}
	f.Fuzz(func(t *testing.T, text, words string) {
		folded := foldTraced(text)
		if utf8.ValidString(text) && folded.text != fold(text) {
			t.Fatalf("%q folds to %q, and traced to %q", text, fold(text), folded.text)
		}
		lot := &pb.Lot{Title: text, Kind: pb.Kind_KIND_METAL_TYPE}
		filter := Compile(wordsAlone(words))
		all := Highlight(filter, lot)
		for _, h := range all {
			if utf8.ValidString(text) {
				spansHold(t, text, h.Spans)
			}
		}
		if text == words && len(filter.words) > 0 && len(all) == 0 {
			t.Fatalf("%q is not highlighted in itself", text)
		}
	})
}

// BenchmarkHighlight highlights a page of hits.
func BenchmarkHighlight(b *testing.B) {
	d := newDice(52)
	var lots []*pb.Lot
	for i := range 20 {
		lots = append(lots, d.lot(i, 1))
		lots[i].Description = strings.Repeat(lots[i].Description+" ", 5)
	}
	f := Compile(wordsAlone("platen fount KR15 rollers"))
	for b.Loop() {
		for _, lot := range lots {
			Highlight(f, lot)
		}
	}
}

// Highlighting asks nothing of the filter but words.
func TestHighlightWithoutWords(t *testing.T) {
	if all := Highlight(Compile(nil), newDice(1).lot(1, 1)); all != nil {
		t.Errorf("%v", all)
	}
	if !slices.Equal(foldTraced("KR").from, nil) {
		t.Error("plain text needs no traces")
	}
}
