package search

import (
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// folding is a text as fold writes it, and where each of its bytes comes from.
type folding struct {
	text string
	// from and to are where in the text as it was written that stands, in bytes,
	// which a byte of the folded text comes from. They are nil where the two texts
	// run byte for byte.
	from, to []int
}

// foldTraced is fold that remembers. Letters that fold together, as a letter and
// its accents, come from the same place.
func foldTraced(text string) folding {
	if isASCII(text) {
		return folding{text: fold(text)}
	}
	var f folding
	var b strings.Builder
	for at := 0; at < len(text); {
		if n := plainRun(text[at:]); n > 0 {
			b.WriteString(fold(text[at : at+n]))
			for ; n > 0; n-- {
				f.from, f.to = append(f.from, at), append(f.to, at+1)
				at++
			}
			continue
		}
		n := foldedTogether(text[at:])
		part := fold(text[at : at+n])
		b.WriteString(part)
		for range len(part) {
			f.from, f.to = append(f.from, at), append(f.to, at+n)
		}
		at += n
	}
	f.text = b.String()
	return f
}

// plainRun is how many bytes at the beginning of a text are folded one by one:
// all that are ASCII but the last, which what comes after may belong to.
func plainRun(text string) int {
	n := 0
	for n < len(text) && text[n] < utf8.RuneSelf {
		n++
	}
	if n < len(text) {
		n--
	}
	return max(n, 0)
}

// foldedTogether is how many bytes at the beginning of a text are folded as one.
func foldedTogether(text string) int {
	for _, sign := range []string{"n°", "N°"} {
		if strings.HasPrefix(text, sign) {
			return len(sign)
		}
	}
	if n := norm.NFKD.NextBoundaryInString(text, true); n > 0 {
		return n
	}
	return len(text)
}

// written is where in the text as it was written a stretch of the folded text
// stands.
func (f folding) written(from, to int) stretch {
	if f.from == nil {
		return stretch{from, to}
	}
	return stretch{f.from[from], f.to[to-1]}
}

// stretch is a part of a text, in bytes from its beginning.
type stretch struct{ from, to int }
