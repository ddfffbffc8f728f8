package search

import "strings"

// stem takes the English plural off a word and nothing else: more would wreck
// the trade's words, for a caster is not a cast nor a cutter a cut.
func stem(word string) string {
	switch {
	case len(word) < 4 || !strings.HasSuffix(word, "s"):
		return word
	case strings.HasSuffix(word, "ies") && len(word) > 4:
		return word[:len(word)-3] + "y"
	case hasSuffix(word, "sses", "shes", "ches", "xes"):
		return word[:len(word)-2]
	case hasSuffix(word, "ss", "us", "is"):
		return word
	}
	return word[:len(word)-1]
}

func hasSuffix(word string, endings ...string) bool {
	for _, ending := range endings {
		if strings.HasSuffix(word, ending) {
			return true
		}
	}
	return false
}
