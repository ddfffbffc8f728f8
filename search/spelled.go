package search

import (
	"strconv"
	"strings"
)

// What amounts are made of: figures, with a fraction, or words.
const (
	fraction = `(?:\d+[ -])?\d+/\d+|(?:\d+ ?)?[½¼¾]|` + figure
	spelled  = `(?:` + spelledWord + `(?:[\s-]+` + spelledWord + `)*)`
	amount   = `(?:(?:` + fraction + `)\s*|` + spelled + `[\s-]+)`

	spelledWord = `(?:an?|and|of|half|quarter|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen|` +
		`sixteen|seventeen|eighteen|nineteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred|thousand)\b`
)

// inFigures writes an amount whose number is spelled out in figures: half a ton
// is 0.5 ton, and two hundred miles are 200 miles. What is no number comes back
// as it is.
func inFigures(amount string) string {
	words := strings.FieldsFunc(strings.ToLower(amount), func(r rune) bool { return r == ' ' || r == '-' || r == '\t' || r == '\n' })
	var n spelledNumber
	used := 0
	for used < len(words) && n.take(words[used]) {
		used++
	}
	if n.total() == 0 || used == len(words) || numerals[words[used]] > 0 {
		return amount
	}
	return strings.Join(append([]string{strconv.FormatFloat(n.total(), 'f', -1, 64)}, words[used:]...), " ")
}

// spelledNumber is a number as far as it has been read, word by word.
type spelledNumber struct {
	thousands, rest float64
	article         bool // an article was read that may be a one
}

func (n *spelledNumber) total() float64 {
	if n.article && n.thousands+n.rest == 0 {
		return 1
	}
	return n.thousands + n.rest
}

// take reads one more word, if it goes on with the number.
func (n *spelledNumber) take(word string) bool {
	switch value := float64(numerals[word]); {
	case word == "a" || word == "an":
		n.article = true
	case word == "and" || word == "of":
	case word == "half":
		n.rest += 0.5
	case word == "quarter":
		n.rest += 0.25
	case word == "hundred":
		n.rest = 100 * orOne(n.rest)
	case word == "thousand":
		n.thousands, n.rest = n.thousands+1000*orOne(n.rest), 0
	case value == 0 || !n.goesOn(value):
		return false
	default:
		n.rest += value
	}
	return true
}

// goesOn tells whether a value may follow what was read: a nine follows twenty
// and a hundred, and no other nine.
func (n *spelledNumber) goesOn(value float64) bool {
	tens := int(n.rest) % 100
	return tens == 0 || tens >= 20 && tens%10 == 0 && value < 10
}

func orOne(n float64) float64 {
	if n == 0 {
		return 1
	}
	return n
}
