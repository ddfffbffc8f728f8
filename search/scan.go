package search

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// tokenLimit is the longest token kept, in bytes. What is longer is no word
// that anybody types, and is cut.
const tokenLimit = 64

// token is a run of letters or a number, as scan finds it.
type token struct {
	text   string
	number bool
	// fraction marks a number that was written with a stroke, as 1/2.
	fraction bool
	// size marks a size or measure that was made of several tokens, as 10x15 and
	// 24point.
	size bool
	// gap is what stands between this token and the one before it.
	gap string
	// from and to are where it stands in the folded text, in bytes.
	from, to int
}

// figure tells whether a token is a number or a size.
func (t token) figure() bool { return t.number || t.size }

// scan parts folded text into words and numbers. Letters and digits that stand
// together are parted, so that KR15, kr 15 and KR-15 meet.
func scan(text string) []token {
	var tokens []token
	end := 0 // of the token before
	for i := 0; i < len(text); {
		r, width := utf8.DecodeRuneInString(text[i:])
		var size int
		var t token
		switch {
		case isDigit(r):
			size, t = scanNumber(text[i:])
		case unicode.IsLetter(r):
			size, t.text = scanWord(text[i:])
		case follows(tokens, text[end:i]) && inchMark(text[i:]) > 0:
			size, t.text = inchMark(text[i:]), "inch"
		case r == '#' && digits(text[i+1:]) != "":
			size, t.text = 1, "no" // #4 is No. 4.
		case r == '*' && follows(tokens, text[end:i]) && digits(text[i+1:]) != "":
			size, t.text = 1, "x" // 10*15 is 10x15.
		default:
			i += width
			continue
		}
		t.gap, t.text, t.from, t.to = text[end:i], cut(t.text, tokenLimit), i, i+size
		tokens = append(tokens, t)
		i += size
		end = i
	}
	return tokens
}

// follows tells whether the last token is a number with nothing after it.
func follows(tokens []token, gap string) bool {
	return len(tokens) > 0 && tokens[len(tokens)-1].number && gap == ""
}

// inchMark is the length of the inch sign that text begins with, or 0.
func inchMark(text string) int {
	for _, mark := range []string{`"`, "''"} {
		if strings.HasPrefix(text, mark) {
			return len(mark)
		}
	}
	return 0
}

// scanWord reads the letters that text begins with. An apostrophe between
// letters belongs to the word and is left out: printer's is printers. What
// French elides before one is left out too: d'imposition is imposition.
func scanWord(text string) (size int, word string) {
	var b strings.Builder
	for i := 0; i < len(text); {
		r, width := utf8.DecodeRuneInString(text[i:])
		if r == '\'' {
			if next, _ := utf8.DecodeRuneInString(text[i+1:]); !unicode.IsLetter(next) {
				break
			}
			if elided[b.String()] {
				b.Reset()
			}
		} else if unicode.IsLetter(r) {
			b.WriteRune(r)
		} else {
			break
		}
		i += width
		size = i
	}
	return size, b.String()
}

var elided = map[string]bool{"d": true, "l": true}

// scanNumber reads the number that text begins with: digits, with commas
// between thousands and one decimal point, or a fraction.
func scanNumber(text string) (size int, t token) {
	whole := digits(text)
	if n, decimal := scanFraction(text, whole); n > 0 {
		return n, token{text: decimal, number: true, fraction: true}
	}
	size = len(whole)
	if len(whole) <= 3 {
		for isThousands(text[size:]) {
			whole += text[size+1 : size+4]
			size += 4
		}
	}
	number := trimZeros(whole)
	if rest, ok := strings.CutPrefix(text[size:], "."); ok && digits(rest) != "" {
		size += 1 + len(digits(rest))
		if decimals := strings.TrimRight(digits(rest), "0"); decimals != "" {
			number += "." + decimals
		}
	}
	return size, token{text: number, number: true}
}

// isThousands tells whether a number goes on with a comma and three digits.
func isThousands(rest string) bool {
	return strings.HasPrefix(rest, ",") && len(digits(rest[1:])) == 3
}

// digits is the run of digits that text begins with.
func digits(text string) string {
	n := 0
	for n < len(text) && isDigit(rune(text[n])) {
		n++
	}
	return text[:n]
}

func isDigit(r rune) bool { return '0' <= r && r <= '9' }

func trimZeros(number string) string {
	if trimmed := strings.TrimLeft(number, "0"); trimmed != "" {
		return trimmed
	}
	return "0"
}

// cut shortens text to at most limit bytes, between two runes.
func cut(text string, limit int) string {
	if len(text) <= limit {
		return text
	}
	for limit > 0 && !utf8.RuneStart(text[limit]) {
		limit--
	}
	return text[:limit]
}
