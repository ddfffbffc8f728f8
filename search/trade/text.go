package trade

import (
	"regexp"
	"strconv"
	"strings"
)

// plainer turns the many ways of writing the same sign into one.
var plainer = strings.NewReplacer(
	"×", "x", "✕", "x", "✖", "x",
	"″", `"`, "”", `"`, "“", `"`, "''", `"`, "’’", `"`, "′′", `"`,
	"′", "'", "’", "'", "‘", "'",
	"–", "-", "—", "-", "−", "-", "‐", "-", "‑", "-",
	"\u00a0", " ", "\u2009", " ", "\u202f", " ", "\t", " ", "\n", " ", "\r", " ",
	"⁄", "/",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3",
	"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
)

// plain is text in lower case, with plain signs and single spaces.
func plain(text string) string {
	return strings.Join(strings.Fields(plainer.Replace(strings.ToLower(text))), " ")
}

var (
	numberRE   = regexp.MustCompile(`^(?:(\d{1,3}(?:,\d{3})+|\d+)[ -] ?(\d+)/(\d+)|(\d+)/(\d+)|(\d{1,3}(?:,\d{3})+|\d+)?(\.\d+)?)`)
	lettersRE  = regexp.MustCompile(`^(?:[\p{L}]+\.?|"|')`)
	afterwards = ".,/0123456789"
)

// longestNumber is how many characters a number may have: more is a slip of
// the keyboard, for no figure of a machine's making needs as many.
const longestNumber = 24

// scan reads a plain text from left to right.
type scan struct{ rest string }

func (s *scan) space()     { s.rest = strings.TrimLeft(s.rest, " ") }
func (s *scan) done() bool { s.space(); return s.rest == "" }

// number reads 10, 10.5, .918, 1,350, 1/2, 10 1/2 or 10-1/2. It reads all of a
// number or nothing: 25,4 and 1.2.3 are no numbers.
func (s *scan) number() (float64, bool) {
	s.space()
	m := numberRE.FindStringSubmatch(s.rest)
	if m == nil || m[0] == "" || len(m[0]) > longestNumber {
		return 0, false
	}
	rest := s.rest[len(m[0]):]
	if rest != "" && strings.Contains(afterwards, rest[:1]) {
		return 0, false
	}
	v, ok := numberOf(m)
	if ok {
		s.rest = rest
	}
	return v, ok
}

func numberOf(m []string) (float64, bool) {
	switch {
	case m[1] != "":
		f, ok := fraction(m[2], m[3])
		return ungrouped(m[1]) + f, ok && f < 1
	case m[4] != "":
		return fraction(m[4], m[5])
	}
	return ungrouped(m[6] + m[7]), true
}

func fraction(over, under string) (float64, bool) {
	d := digits(under)
	return digits(over) / d, d > 0
}

// ungrouped is the value of a number that may have commas at its thousands.
func ungrouped(text string) float64 { return digits(strings.ReplaceAll(text, ",", "")) }

// digits is the value of a text that numberRE has passed.
func digits(text string) float64 {
	v, _ := strconv.ParseFloat(text, 64)
	return v
}

// word reads a run of letters without its full stop, or an inch or foot mark.
func (s *scan) word() string {
	s.space()
	w := lettersRE.FindString(s.rest)
	s.rest = s.rest[len(w):]
	return strings.TrimSuffix(w, ".")
}

// take drops a prefix if it is there.
func (s *scan) take(prefix string) bool {
	s.space()
	rest, ok := strings.CutPrefix(s.rest, prefix)
	s.rest = rest
	return ok
}
