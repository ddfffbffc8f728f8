package search

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// fold writes text without case, accents and compatibility forms, so that two
// ways of writing the same letters come out the same.
func fold(text string) string {
	if isASCII(text) {
		return strings.ToLower(text)
	}
	var b strings.Builder
	for _, r := range norm.NFKD.String(spaceFractions(numberSign.Replace(text))) {
		if unicode.Is(unicode.Mn, r) {
			continue
		}
		r = unicode.ToLower(r) // Only now: the signs come apart into capitals, too.
		if plain, ok := plainLetters[r]; ok {
			b.WriteString(plain)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// numberSign writes n° as the no that it stands for.
var numberSign = strings.NewReplacer("n°", "no", "N°", "no")

// plainLetters are the letters and signs that normalisation leaves as they are
// and that people also write in plain letters.
var plainLetters = map[rune]string{
	'ß': "ss", 'ø': "o", 'æ': "ae", 'œ': "oe", 'ł': "l", 'đ': "d", 'ð': "d", 'þ': "th", 'ı': "i",
	'×': "x", '⁄': "/", '“': `"`, '”': `"`, '’': "'", '‘': "'", '′': "'",
}

// spaceFractions parts a fraction sign from the whole number before it, which
// would otherwise run into it: 6½ is six and a half, not 61/2.
func spaceFractions(text string) string {
	var b strings.Builder
	for _, r := range text {
		if unicode.Is(unicode.No, r) && strings.Contains(norm.NFKD.String(string(r)), "⁄") {
			b.WriteByte(' ')
		}
		b.WriteRune(r)
	}
	return b.String()
}

func isASCII(text string) bool {
	for i := range len(text) {
		if text[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}
