package trade

import (
	"strings"
	"sync"
)

// apart is what writings of a word differ in.
var apart = strings.NewReplacer("-", " ", "_", " ", "/", " ", ",", " ", ";", " ", ":", " ", ".", " ", "(", " ", ")", " ", "'", "", "&", "and")

// folded is a word so that writings of it agree: lower case, no hyphens, stops
// or apostrophes, the words in the singular.
func folded(text string) string {
	if strings.IndexFunc(text, notPlain) >= 0 {
		text = apart.Replace(plain(text))
	}
	words := strings.Fields(text)
	if len(words) == 1 {
		return singular(words[0])
	}
	for i, w := range words {
		words[i] = singular(w)
	}
	return strings.Join(words, " ")
}

// notPlain tells what plain and apart may have something to do with: most names of
// parts are small letters and spaces.
func notPlain(r rune) bool { return (r < 'a' || r > 'z') && r != ' ' }

// foldedNames keeps the tables' own words, folded: they are few, and a sheet asks
// for them at every row.
var foldedNames sync.Map

func foldedName(word string) string {
	if f, known := foldedNames.Load(word); known {
		return f.(string)
	}
	f := folded(word)
	foldedNames.Store(word, f)
	return f
}

// singular takes off a plural ending: presses, cases, matrices, galleys. Words
// in -ss have none.
func singular(w string) string {
	switch {
	case len(w) < 4 || strings.HasSuffix(w, "ss") || !strings.HasSuffix(w, "s"):
		return w
	case strings.HasSuffix(w, "sses"), strings.HasSuffix(w, "shes"), strings.HasSuffix(w, "ches"), strings.HasSuffix(w, "xes"):
		return w[:len(w)-2]
	case strings.HasSuffix(w, "ies"):
		return w[:len(w)-3] + "y"
	}
	return w[:len(w)-1]
}

func parseNaming[T any](text, what string, names []naming[T]) (T, error) {
	var none T
	key := folded(text)
	for _, n := range names {
		if n.has(key) {
			return n.is, nil
		}
	}
	var words []string
	for _, n := range names {
		words = append(words, n.word)
	}
	fix := "write one of " + strings.Join(words, ", ")
	if near := nearest(text, names); near != "" {
		fix = "did you mean " + near + "? Otherwise " + fix
	}
	return none, misread(text, what, "%s", fix)
}

func (n naming[T]) has(key string) bool {
	if foldedName(n.word) == key {
		return true
	}
	for _, a := range n.also {
		if foldedName(a) == key {
			return true
		}
	}
	return false
}

// nearest is the word of the naming that a text is nearest to, or "" if none is
// within a third of its letters.
func nearest[T any](text string, names []naming[T]) string {
	best, word := len([]rune(text))/3+1, ""
	asWritten, key := plain(text), folded(text)
	for _, n := range names {
		for _, w := range append([]string{n.word}, n.also...) {
			if d := min(fewer(best, asWritten, w), fewer(best, key, foldedName(w))); d < best {
				best, word = d, n.word
			}
		}
	}
	return word
}

// fewer is how many slips part two words, if they are fewer than a number, and
// that number if not: the difference in length alone may settle it.
func fewer(than int, from, to string) int {
	if gap := len(from) - len(to); gap >= than || -gap >= than {
		return than
	}
	return min(than, slips(from, to))
}

// slips is how many letters have to be put in, left out or changed to make one
// word of another.
func slips(from, to string) int {
	a, b := []rune(from), []rune(to)
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		corner := row[0]
		row[0] = i + 1
		for j := range b {
			change := corner
			if a[i] != b[j] {
				change++
			}
			corner = row[j+1]
			row[j+1] = min(change, corner+1, row[j]+1)
		}
	}
	return row[len(b)]
}
