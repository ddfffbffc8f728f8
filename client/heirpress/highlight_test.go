package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
)

// spansOf finds words in a text, in their order.
func spansOf(text string, words ...string) []*pb.Span {
	var spans []*pb.Span
	at := 0
	for _, word := range words {
		at += strings.Index(text[at:], word)
		spans = append(spans, &pb.Span{Begin: int32(at), End: int32(at + len(word))})
		at += len(word)
	}
	return spans
}

func TestBold(t *testing.T) {
	text := "Ödegård KR-15 platen"
	if got := bold(text, spansOf(text, "Ödegård", "KR-15")); got != "\x1b[1mÖdegård\x1b[22m \x1b[1mKR-15\x1b[22m platen" {
		t.Errorf("%q", got)
	}
	for _, bad := range []*pb.Span{{Begin: 3, End: 99}, {Begin: -1, End: 2}, {Begin: 5, End: 5}, nil} {
		if got := bold(text, []*pb.Span{bad}); got != text {
			t.Errorf("span %v: %q", bad, got)
		}
	}
}

// Bold is for terminals alone, and then only if nobody asks for plain text.
func TestBoldIsForTerminals(t *testing.T) {
	file, err := os.Create(t.TempDir() + "/answer")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	for _, a := range []*app{{out: new(bytes.Buffer)}, {out: file}} {
		if got := a.emphasise("platen", spansOf("platen", "platen")); got != "platen" {
			t.Errorf("%q", got)
		}
	}
}

func TestSnippet(t *testing.T) {
	a := &app{out: new(bytes.Buffer)}
	long := strings.Repeat("It stood in the front room. ", 10)
	cases := []struct{ title, text, marked, want string }{
		{"Platen", "With new rollers.", "rollers", "With new rollers."},
		{"Rollers", "With new rollers.", "rollers", ""}, // the title says it
		{"Platen", long + "Two rollers\nand a key. " + long, "rollers", "…room. It stood in the front room. Two rollers and a key. It stood in the…"},
		{"Platen", strings.Repeat("x", 100) + " rollers", "rollers", "…rollers"},
		{"Platen", "With new rollers.", "", ""},
	}
	for _, c := range cases {
		lot := &pb.Lot{Title: c.title, Description: c.text}
		marks := map[string][]*pb.Span{"title": spansOf(c.title, c.title)}
		if c.marked != "" {
			marks["description"] = spansOf(c.text, c.marked)
		}
		if got := a.snippet(lot, marks); got != c.want {
			t.Errorf("%q: %q, not %q", c.text, got, c.want)
		}
	}
}

// A window holds what it is about, cuts no word but that, and is no wider than
// it may be.
func TestWindow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.RuneFrom([]rune("aé ,\n½x  "))).Draw(t, "text")
		runes := []rune(text)
		i := rapid.IntRange(0, len(runes)).Draw(t, "from")
		j := rapid.IntRange(i, len(runes)).Draw(t, "to")
		from, to := len(string(runes[:i])), len(string(runes[:j]))
		begin, end := window(text, from, to)
		if begin > from || end < to || begin < 0 || end > len(text) {
			t.Fatalf("%d to %d of %d becomes %d to %d", from, to, len(text), begin, end)
		}
		if n := utf8.RuneCountInString(text[begin:end]); n > max(snippetRunes, j-i) {
			t.Fatalf("%d characters", n)
		}
	})
}

func TestCountLines(t *testing.T) {
	f := &pb.Facets{
		Kinds:  []*pb.FacetCount{{Value: "KIND_PRESS", Count: 12}, {Value: "KIND_WOOD_TYPE", Count: 3}},
		States: []*pb.FacetCount{{Value: "LOT_STATE_OFFERED", Count: 15}},
	}
	lines := countLines(f)
	if got := lines[0].say(4); got != "By kind: press 12, wood type 3." {
		t.Error(got)
	}
	if got := lines[0].say(1); got != "By kind: press 12, and 1 more; --facets lists all." {
		t.Error(got)
	}
	if got := lines[2].say(1); got != "By state: offered 15." {
		t.Error(got)
	}
}
