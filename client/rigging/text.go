package rigging

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"heirpress/search/trade"
)

// textColumns is how wide the text is set.
const textColumns = 78

// Text prints a brief as plain text, in lines of at most 78 columns unless a
// word is longer. The error is the writer's.
func Text(w io.Writer, b *Brief, u trade.Units) error {
	t := &textWriter{out: bufio.NewWriter(w)}
	p := pageOf(b, u)
	t.line(p.Title)
	for _, lead := range p.Lead {
		t.gap()
		t.wrap("", "", lead)
	}
	for _, s := range p.Sections {
		t.gap()
		t.line(strings.ToUpper(s.Heading))
		for _, bl := range s.Blocks {
			t.block(bl)
		}
	}
	return t.out.Flush()
}

// textWriter sets text. The first error sticks to the buffered writer.
type textWriter struct{ out *bufio.Writer }

func (t *textWriter) line(s string) { fmt.Fprintln(t.out, strings.TrimRight(s, " ")) }

func (t *textWriter) gap() { t.line("") }

func (t *textWriter) block(b block) {
	switch {
	case b.Sub != "":
		t.gap()
		t.line(b.Sub)
	case b.Table != nil:
		t.table(b.Table)
	case b.Picture != nil:
		t.wrap("", "", b.Picture.Desc)
	default:
		t.lines(b)
	}
}

func (t *textWriter) lines(b block) {
	if b.Text != "" {
		t.wrap("", "", b.Text)
	}
	for _, item := range b.List {
		t.wrap("  - ", "    ", item)
	}
	for i, step := range b.Steps {
		t.wrap(fmt.Sprintf("  %d. ", i+1), "     ", step)
	}
}

// table reads each row out: what it is, and each cell after its heading. An empty
// cell is passed over.
func (t *textWriter) table(tb *table) {
	t.line(tb.Caption + ":")
	for _, row := range tb.Rows {
		var cells []string
		for i, cell := range row[1:] {
			if head := tb.Head[i+1]; cell != "" {
				cells = append(cells, strings.ToLower(head[:1])+head[1:]+": "+cell)
			}
		}
		t.wrap("  - ", "    ", row[0]+" - "+strings.Join(cells, "; ")+".")
	}
}

// wrap sets a paragraph, its first line after first and the others after rest.
func (t *textWriter) wrap(first, rest, text string) {
	line, indent := first, first
	for _, word := range strings.Fields(text) {
		switch {
		case line == indent:
			line += word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= textColumns:
			line += " " + word
		default:
			t.line(line)
			line, indent = rest+word, rest
		}
	}
	t.line(line)
}
