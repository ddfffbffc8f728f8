package sheet

import (
	"strings"
	"unicode"
)

// fold makes two spellings of a heading, a key or a tag one: case, spaces,
// underscores and hyphens do not matter.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '_' || r == '-' {
			return -1
		}
		return unicode.ToLower(r)
	}, s)
}

// line makes a text one line: single spaces, none at the ends.
func line(s string) string { return strings.Join(strings.Fields(s), " ") }

// nearest is the word that name is most likely a slip of, or "".
func nearest(name string, words []string) string {
	best, least := "", 3
	for _, w := range words {
		if d := distance(fold(name), fold(w)); d < least && d < len(w)/2+1 {
			best, least = w, d
		}
	}
	return best
}

// distance is how many letters have to be changed, put in, left out or swapped
// with their neighbour to turn a into b, but at most 3 for words of which the
// lengths differ by more than 2.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	if len(s) > len(t)+2 || len(t) > len(s)+2 {
		return 3
	}
	before, last := []int(nil), make([]int, len(t)+1)
	for j := range last {
		last[j] = j
	}
	for i := range s {
		row := make([]int, len(t)+1)
		row[0] = i + 1
		for j := range t {
			row[j+1] = min(last[j+1]+1, row[j]+1, last[j]+cost(s[i], t[j]))
			if i > 0 && j > 0 && s[i] == t[j-1] && s[i-1] == t[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last = last, row
	}
	return last[len(t)]
}

func cost(a, b rune) int {
	if a == b {
		return 0
	}
	return 1
}
