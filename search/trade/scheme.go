package trade

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Scheme is a job fount as it is sold: "25A 50a" has 25 of the capital A and 50
// of the lower-case a, and of every other letter what goes with that.
type Scheme struct {
	// Caps is how many capital A's; 0 for a fount without capitals.
	Caps int
	// Lower is how many lower-case a's; 0 for a fount without lower case.
	Lower int
	// Figures is how many of the figures 1 and 0, where it is said.
	Figures int
}

var (
	schemeRE  = regexp.MustCompile(`^(?:(\d{1,3}) ?A)?[ ,/-]*(?:(\d{1,3}) ?a)?[ ,/-]*(?:(\d{1,3}) ?- ?1)?$`)
	schemeFix = "write it as 25A 50a, 8A 10a, 3A or 25A 50a 10-1"
)

// ParseScheme reads a scheme: "25A 50a", "8A10a", "3A", "25A 50a 10-1". Here
// capitals matter. The error is a *ParseError.
func ParseScheme(text string) (Scheme, error) {
	m := schemeRE.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil || m[1]+m[2] == "" {
		return Scheme{}, misread(text, "a scheme of a fount", "%s", schemeFix)
	}
	s := Scheme{atoi(m[1]), atoi(m[2]), atoi(m[3])}
	if s.Caps+s.Lower == 0 {
		return Scheme{}, misread(text, "a scheme of a fount", "%s", schemeFix)
	}
	return s, nil
}

// String writes the scheme as it is sold: "25A 50a 10-1".
func (s Scheme) String() string {
	var words []string
	if s.Caps > 0 {
		words = append(words, strconv.Itoa(s.Caps)+"A")
	}
	if s.Lower > 0 {
		words = append(words, strconv.Itoa(s.Lower)+"a")
	}
	if s.Figures > 0 {
		words = append(words, fmt.Sprintf("%d-1", s.Figures))
	}
	return strings.Join(words, " ")
}

// capsOf100 is how many of each capital and point go with 100 A's. Williams,
// "How Big is a Font?", Type & Press, winter 1987, for A I N O R S T, E, B W Y,
// Q X Z and &; the others are common practice, set so that 3A, 4A and 5A founts
// of wood type have the pieces they usually have.
var capsOf100 = map[string]int{
	"A": 100, "I": 100, "N": 100, "O": 100, "R": 100, "S": 100, "T": 100, "E": 120,
	"B": 40, "W": 40, "Y": 40, "Q": 20, "X": 20, "Z": 20, "&": 20,
	"C": 90, "D": 90, "H": 90, "L": 90, "M": 90, "U": 90,
	"F": 60, "G": 60, "P": 60, "J": 40, "K": 40, "V": 40,
	".": 60, ",": 60, "'": 20, "-": 20, "!": 20, "?": 20,
}

// lowerOf is how many of each lower-case letter go with 10 a's and with 50. 10:
// Collins, Handicraft for Boys, the table of an 8A 10a fount. 50: Williams, as
// above, for a e i n o r s t, b g p w and q x z; the others are Collins's shares
// carried over, which is common practice.
var lowerOf = map[string][2]int{
	"a": {10, 50}, "b": {4, 20}, "c": {6, 30}, "d": {8, 40}, "e": {18, 67}, "f": {4, 20}, "g": {4, 20},
	"h": {8, 40}, "i": {10, 50}, "j": {2, 10}, "k": {3, 15}, "l": {8, 40}, "m": {6, 30}, "n": {10, 50},
	"o": {10, 50}, "p": {6, 20}, "q": {3, 8}, "r": {10, 50}, "s": {10, 50}, "t": {10, 50}, "u": {6, 30},
	"v": {4, 20}, "w": {4, 20}, "x": {2, 8}, "y": {4, 20}, "z": {2, 8},
}

// Bill is what a fount of the scheme holds. Capitals and points follow the
// capital A, the smallest counts rounded up, for there is no half letter. Lower
// case follows the printed 8A 10a and 25A 50a founts: in between it goes from
// one to the other, for small founts have more e's to the a than large ones.
// Spaces, small capitals, fractions, accents, brackets and ligatures are not in
// it: job founts are sold without.
func (s Scheme) Bill() Bill {
	b := Bill{}
	if s.Caps > 0 {
		for sort, share := range capsOf100 {
			b[sort] = (s.Caps*share + 99) / 100
		}
	}
	if s.Lower > 0 {
		for sort, of := range lowerOf {
			b[sort] = lowerCount(s.Lower, of)
		}
	}
	for f := '0'; f <= '9' && s.Figures > 0; f++ {
		b[string(f)] = s.figure(f)
	}
	if s.Figures > 0 {
		b["$"] = (s.Figures*8 + 9) / 10
	}
	return b
}

// figure is how many of a figure there are: of 10-1, ten of 1 and 0, and eight
// of the rest (Williams).
func (s Scheme) figure(f rune) int {
	if f == '0' || f == '1' {
		return s.Figures
	}
	return (s.Figures*8 + 9) / 10
}

// lowerCount goes along the straight line through the two printed founts, and
// below 10 and above 50 in proportion to them.
func lowerCount(n int, of [2]int) int {
	switch {
	case n <= 10:
		return (n*of[0] + 9) / 10
	case n >= 50:
		return (n*of[1] + 49) / 50
	}
	return of[0] + ((n-10)*(of[1]-of[0])+20)/40
}

// Usable tells as how large a fount of its scheme an incomplete one behaves: by
// the letter that is shortest for what the scheme has of it. as is how many A's
// (a's for a fount without capitals) it amounts to, and limiting the letter that
// holds it back; it is empty in a complete fount. Points, figures and signs do
// not count.
//
// Of 5A with three E's where there should be six, E is limiting: 3/1.2 is 2.5,
// and the fount behaves as 2A.
func (s Scheme) Usable(have Bill) (as float64, limiting string) {
	full, top := s.Bill(), s.Caps
	if top == 0 {
		top = s.Lower
	}
	as = float64(top)
	for _, sort := range full.Sorts() {
		if g := GroupOf(sort); g != Capitals && g != LowerCase || have[sort] >= full[sort] {
			continue
		}
		if n := float64(top*have[sort]) / s.share(sort, full); n < as {
			as, limiting = n, sort
		}
	}
	return as, limiting
}

// share is what the scheme has of a letter, before rounding to whole pieces.
func (s Scheme) share(sort string, full Bill) float64 {
	if share, ok := capsOf100[sort]; ok {
		return float64(s.Caps*share) / 100
	}
	return float64(full[sort])
}
