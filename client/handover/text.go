package handover

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// textColumns is how wide the paper is set.
const textColumns = 78

// Text writes the record to be printed, in lines of at most 78 columns unless a word
// is longer.
func Text(w io.Writer, r *Record) error {
	t := new(teller)
	t.line("HAND-OVER RECORD")
	t.line("")
	t.named("Day", cmp.Or(r.Day, blank))
	t.named("Giver", cmp.Or(r.Giver, blank))
	t.named("Receiver", cmp.Or(r.Receiver, blank))
	t.named("From", strings.TrimSuffix(r.Shop+", "+r.Town, ", "))
	if r.Collection != "" {
		t.named("Collection", r.Collection)
	}
	t.heading("What is handed over")
	for i, thing := range r.Things {
		t.wrap(fmt.Sprintf("%3d. ", i+1), "     ", fmt.Sprintf("Tag %s: %s", thing.Tag, thing.Title))
		for _, f := range thing.Facts {
			t.wrap("     ", "       ", f.Name+": "+f.Text)
		}
	}
	t.heading("What both agree on")
	for i, term := range r.Terms {
		t.wrap(fmt.Sprintf("%3d. ", i+1), "     ", term)
	}
	t.cautions(r)
	t.heading("What this is not")
	for _, n := range r.NotAdvice {
		t.wrap("", "", n)
	}
	t.signatures()
	_, err := io.WriteString(w, t.b.String())
	return err
}

type teller struct{ b strings.Builder }

func (t *teller) line(text string) { fmt.Fprintln(&t.b, strings.TrimRight(text, " ")) }

func (t *teller) named(name, text string) { t.wrap(name+": ", "  ", text) }

func (t *teller) heading(text string) {
	t.line("")
	t.line(strings.ToUpper(text))
}

func (t *teller) cautions(r *Record) {
	if len(r.Hazards)+len(r.Riggers) > 0 {
		t.heading("What the receiver has been told to beware of")
	}
	for _, h := range r.Hazards {
		t.wrap("  - ", "    ", fmt.Sprintf("%s (%s). %s", h.Name, strings.Join(h.Tags, ", "), h.Text))
	}
	for _, reason := range r.Riggers {
		t.wrap("  - ", "    ", "Call professional riggers. "+reason)
	}
	if len(r.Riggers) > 0 {
		t.wrap("  - ", "    ", "A press can kill who moves it. Local codes and licensed people go before anything written here; heirpress rig writes a moving brief.")
	}
}

func (t *teller) signatures() {
	for _, side := range []string{"Giver", "Receiver"} {
		t.line("")
		t.line(side + ", name:      " + blank)
		t.line(strings.Repeat(" ", len(side)) + "  signature: " + blank)
		t.line(strings.Repeat(" ", len(side)) + "  day:       " + blank)
	}
}

// wrap sets a paragraph, its first line after first and the others after rest.
func (t *teller) wrap(first, rest, text string) {
	line, empty := first, true
	for _, word := range strings.Fields(text) {
		switch {
		case empty:
			line, empty = line+word, false
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= textColumns:
			line += " " + word
		default:
			t.line(line)
			line = rest + word
		}
	}
	t.line(line)
}
