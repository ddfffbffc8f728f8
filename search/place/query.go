package place

import (
	"slices"
	"strconv"
	"strings"

	"heirpress/search/place/internal/gaz"
)

// query is a text taken apart.
type query struct {
	text string
	// name is the folded words before the first comma. The last of them may be
	// those of a region or country.
	name []string
	// qualifiers are the folded words of each part after a comma.
	qualifiers [][]string
	// zip is a ZIP code that came with a name, or -1.
	zip int
	// at is a position that came in brackets after the name, as in a Label.
	at *Point
	// offer asks for near spellings, where no town is called so.
	offer bool
}

func parse(text string) query {
	q := query{text: text, zip: -1}
	for i, part := range strings.Split(q.takePosition(text), ",") {
		words := gaz.Words(part)
		q.noteZIP(words)
		switch {
		case i == 0:
			q.name = words
		case len(words) > 0:
			q.qualifiers = append(q.qualifiers, words)
		}
	}
	return q
}

// words is how many words the query has.
func (q query) words() int {
	n := len(q.name)
	for _, words := range q.qualifiers {
		n += len(words)
	}
	return n
}

// takePosition takes a position in brackets off the end of the text.
func (q *query) takePosition(text string) string {
	open := strings.LastIndexByte(text, '(')
	if open < 0 || !strings.HasSuffix(text, ")") {
		return text
	}
	p, ok := coordinates(text[open+1 : len(text)-1])
	if !ok || !p.Valid() {
		return text
	}
	q.at = &p
	return text[:open]
}

// noteZIP keeps a ZIP code among the words, to settle between towns.
func (q *query) noteZIP(words []string) {
	for _, word := range words {
		if code, ok := zipCode(word); ok {
			q.zip = code
		}
	}
}

// withoutPostcodes is the query less the words that look like postcodes. A
// part that is nothing else, if it is not the name, goes altogether.
func (q query) withoutPostcodes() query {
	q.name = withoutPostcodes(q.name)
	var qualifiers [][]string
	for _, words := range q.qualifiers {
		if words = withoutPostcodes(words); len(words) > 0 {
			qualifiers = append(qualifiers, words)
		}
	}
	q.qualifiers = qualifiers
	return q
}

func withoutPostcodes(words []string) []string {
	return slices.DeleteFunc(slices.Clone(words), isPostcode)
}

// isPostcode tells whether a word looks like a postcode, or like half of a
// British or Canadian one: 45402, 1012, LS1, 4AP.
func isPostcode(word string) bool {
	switch letters := strings.Trim(word, figures); {
	case letters == "":
		return len(word) >= 4 && len(word) <= 6
	case strings.ContainsAny(word, figures):
		return len(word) <= 4
	}
	return false
}

const figures = "0123456789"

// zipCode reads a whole text as a US ZIP code, of five figures or nine.
func zipCode(text string) (code int, ok bool) {
	five, four := text, ""
	if len(text) == 10 && (text[5] == '-' || text[5] == ' ') {
		five, four = text[:5], text[6:]
	}
	if len(five) != 5 || strings.Trim(five+four, figures) != "" {
		return 0, false
	}
	code, err := strconv.Atoi(five)
	return code, err == nil
}
