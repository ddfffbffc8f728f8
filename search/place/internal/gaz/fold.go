package gaz

import (
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"
)

// Key folds a place name to the form names are sorted and compared by: lower
// case, without accents, punctuation or spaces, and with the words that people
// abbreviate at will (Saint, Sainte, Sankt, Mount, Fort) in one short form.
// "St. Mary’s", "Saint Marys" and "st marys" have one key.
func Key(name string) string {
	return string(AppendKey(make([]byte, 0, 32), name))
}

// AppendKey appends the key of a name to dst, so that a scan over many names
// need not allocate.
func AppendKey(dst []byte, name string) []byte {
	return appendFolded(dst, name, "")
}

// Words folds a text as Key does but keeps its words apart.
func Words(text string) []string {
	return strings.Fields(string(appendFolded(nil, text, " ")))
}

func appendFolded(dst []byte, text, gap string) []byte {
	start := len(dst)
	for i := 0; i < len(text); {
		r, size := rune(text[i]), 1
		if r >= utf8.RuneSelf {
			r, size = utf8.DecodeRuneInString(text[i:])
		}
		i += size
		switch {
		case 'a' <= r && r <= 'z' || '0' <= r && r <= '9':
			dst = append(dst, byte(r))
		case 'A' <= r && r <= 'Z':
			dst = append(dst, byte(r)+'a'-'A')
		case r >= utf8.RuneSelf && !separates(r):
			dst = appendPlain(dst, r)
		case separates(r) && len(dst) > start:
			dst = append(shorten(dst, start), gap...)
			start = len(dst)
		}
	}
	return shorten(dst, start)
}

// separates tells whether a rune ends a word. Apostrophes do not, whichever
// way they are typed: O’Fallon and OFallon are one word.
func separates(r rune) bool {
	switch r {
	case '\'', '`', '´', '‘', '’', 'ʻ', 'ʼ', 'ʹ', '′':
		return false
	}
	return !unicode.In(r, unicode.L, unicode.N, unicode.M)
}

// shorten brings the word that begins at start to its short form.
func shorten(dst []byte, start int) []byte {
	switch string(dst[start:]) {
	case "saint", "sainte", "sankt", "ste":
		return append(dst[:start], "st"...)
	case "mount":
		return append(dst[:start], "mt"...)
	case "fort":
		return append(dst[:start], "ft"...)
	}
	return dst
}

func appendPlain(dst []byte, r rune) []byte {
	r = unicode.ToLower(r)
	if plain, ok := plainForms()[r]; ok {
		return append(dst, plain...)
	}
	if !unicode.In(r, unicode.L, unicode.N) {
		return dst // A combining mark, or an apostrophe: the letter before it stands.
	}
	return utf8.AppendRune(dst, r)
}

// plainForms is the plain spelling of each accented letter of the Latin script.
var plainForms = sync.OnceValue(func() map[rune]string {
	forms := make(map[rune]string, 512)
	for _, group := range accented {
		for _, r := range group.letters {
			forms[r] = group.plain
		}
	}
	return forms
})

var accented = []struct{ plain, letters string }{
	{"a", "àáâãäåāăąǎǟǡǻȁȃȧḁạảấầẩẫậắằẳẵặə"},
	{"ae", "æǣǽ"},
	{"b", "ḃḅḇɓ"},
	{"c", "çćĉċčḉ"},
	{"d", "ðďđḋḍḏḑḓɗ"},
	{"dz", "ǆǳ"},
	{"e", "èéêëēĕėęěǝȅȇȩḕḗḙḛḝẹẻẽếềểễệɛ"},
	{"f", "ƒḟ"},
	{"g", "ĝğġģǥǧǵḡ"},
	{"h", "ĥħȟḣḥḧḩḫẖ"},
	{"i", "ìíîïĩīĭįıǐȉȋḭḯỉịɨ"},
	{"ij", "ĳ"},
	{"j", "ĵǰ"},
	{"k", "ķĸƙǩḱḳḵ"},
	{"l", "ĺļľŀłḷḹḻḽ"},
	{"lj", "ǉ"},
	{"m", "ḿṁṃ"},
	{"n", "ñńņňŉŋǹṅṇṉṋ"},
	{"nj", "ǌ"},
	{"o", "òóôõöøōŏőơǒǫǭǿȍȏȫȭȯȱṍṏṑṓọỏốồổỗộớờởỡợɔ"},
	{"oe", "œ"},
	{"p", "ṕṗ"},
	{"r", "ŕŗřȑȓṙṛṝṟ"},
	{"s", "śŝşšſșṡṣṥṧṩẛ"},
	{"ss", "ß"},
	{"t", "ţťŧțṫṭṯṱẗ"},
	{"th", "þ"},
	{"u", "ùúûüũūŭůűųưǔǖǘǚǜȕȗṳṵṷṹṻụủứừửữự"},
	{"v", "ṽṿ"},
	{"w", "ŵẁẃẅẇẉẘ"},
	{"x", "ẋẍ"},
	{"y", "ýÿŷȳẏẙỳỵỷỹ"},
	{"z", "źżžƶẑẓẕ"},
}
