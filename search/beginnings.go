package search

import (
	"regexp"
	"strings"
	"unicode/utf8"
)

// A beginning is a word that was given with a star at its end, and stands for
// every word that begins so: plat* finds platen and plates.
type beginning struct {
	// of is what words begin with, folded.
	of string
	// whole is the word that it is if it is a whole one: rollers* finds roller
	// too. It is empty where the two are the same.
	whole string
}

// shortestBeginning is how many letters or figures a beginning has, at least.
const shortestBeginning = 2

var beginningRE = regexp.MustCompile(`([\p{L}\p{M}\p{N}][\p{L}\p{M}\p{N}'’]*)\*+`)

// timesRE finds a star that stands for an x: 10*15.
var timesRE = regexp.MustCompile(`(\d)\*(\d)`)

// withTimes writes such a star as an x.
func withTimes(words string) string { return timesRE.ReplaceAllString(words, "${1}x${2}") }

// partBeginnings parts the words of a search into whole words and beginnings.
// Of a code such as KR1* only the last part is a beginning. Those that are too
// short are left out; Validate tells of them.
func partBeginnings(words string) (whole string, all []beginning) {
	if !strings.Contains(words, "*") {
		return words, nil
	}
	words = withTimes(words)
	seen := map[string]bool{}
	whole = beginningRE.ReplaceAllStringFunc(words, func(written string) string {
		before, b := readBeginning(written)
		if !seen[b.of] && b.of != "" {
			seen[b.of] = true
			all = append(all, b)
		}
		return " " + before + " "
	})
	return whole, all
}

// readBeginning reads one word with its star: the whole words in it, and the
// beginning, which is empty if it is too short.
func readBeginning(written string) (before string, b beginning) {
	tokens := scan(fold(strings.TrimRight(written, "*")))
	if len(tokens) == 0 {
		return "", b
	}
	var whole []string
	for _, t := range tokens[:len(tokens)-1] {
		whole = append(whole, t.text)
	}
	last := tokens[len(tokens)-1].text
	if utf8.RuneCountInString(last) < shortestBeginning && len(whole) == 0 {
		return "", b
	}
	b.of = last
	if one := Analyze(last); len(one) == 1 && !strings.HasPrefix(one[0], last) {
		b.whole = one[0]
	}
	return strings.Join(whole, " "), b
}

// covers tells whether a word is one that the beginning stands for.
func (b beginning) covers(word string) bool {
	return strings.HasPrefix(word, b.of) || b.whole != "" && word == b.whole
}

// amongst tells whether any of the words is one that it stands for.
func (b beginning) amongst(words map[string]bool) bool {
	for word := range words {
		if b.covers(word) {
			return true
		}
	}
	return false
}

// beginnings asks that each is long enough to go by.
func (v *violations) beginnings(words string) {
	for _, written := range beginningRE.FindAllString(withTimes(words), -1) {
		_, b := readBeginning(written)
		v.require(b.of != "", "words", "needs at least %d letters before the star, as in plat*: %q has not", shortestBeginning, written)
	}
}
