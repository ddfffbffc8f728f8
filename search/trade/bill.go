package trade

import (
	"maps"
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

// Bill is a bill of type: how many of each sort there are. A sort is a character
// or a ligature, as "e", "Q", "ffi".
type Bill map[string]int

// BillOf is the bill that was counted. A sort counted twice counts as both, and
// less than none as none.
func BillOf(counted []*pb.SortCount) Bill {
	b := Bill{}
	for _, c := range counted {
		b[c.GetSort()] += int(max(c.GetCount(), 0))
	}
	return b
}

// Counts is the bill as the contract's messages, in the order of the sorts.
func (b Bill) Counts() []*pb.SortCount {
	var counts []*pb.SortCount
	for _, s := range b.Sorts() {
		counts = append(counts, &pb.SortCount{Sort: s, Count: int32(b[s])})
	}
	return counts
}

// Sorts returns the sorts of the bill in order.
func (b Bill) Sorts() []string { return slices.Sorted(maps.Keys(b)) }

// Pieces is how many pieces there are in all.
func (b Bill) Pieces() int {
	n := 0
	for _, k := range b {
		n += k
	}
	return n
}

// Sum is how many pieces there are of one group of sorts.
func (b Bill) Sum(g Group) int {
	n := 0
	for s, k := range b {
		if GroupOf(s) == g {
			n += k
		}
	}
	return n
}

// Scale is the bill times over/under, each sort rounded to the nearest. It suits
// large bills; small founts are not scaled copies of large ones.
func (b Bill) Scale(over, under int) Bill {
	scaled := make(Bill, len(b))
	for s, k := range b {
		scaled[s] = (2*k*over + under) / (2 * under)
	}
	return scaled
}

// Supply tells how much of a wanted bill of type another can supply: the share
// of the wanted sorts that are on hand, each counted no further than it is
// wanted, so a drawer full of e's never hides a missing Q. It is in [0, 1]; an
// empty bill is supplied in full.
func (b Bill) Supply(wanted Bill) float64 {
	var want, have int
	for s, n := range wanted {
		want += n
		have += min(n, b[s])
	}
	if want == 0 {
		return 1
	}
	return float64(have) / float64(want)
}

// Short is what a bill lacks of a wanted one, sort by sort; empty if nothing.
func (b Bill) Short(wanted Bill) Bill {
	short := Bill{}
	for s, n := range wanted {
		if n > b[s] {
			short[s] = n - b[s]
		}
	}
	return short
}

// Group is the part of a fount that a sort belongs to. Groups are sold, kept and
// counted together.
type Group int

// The groups.
const (
	// OtherSorts are accents, ligatures, fractions and signs.
	OtherSorts Group = iota
	// Capitals are A to Z.
	Capitals
	// LowerCase is a to z.
	LowerCase
	// Figures are 0 to 9.
	Figures
	// Points are the marks of punctuation, the ampersand and the signs of money.
	Points
)

// GroupOf is the group that a sort belongs to.
func GroupOf(sort string) Group {
	if slices.Contains(points, sort) {
		return Points
	}
	if len(sort) != 1 {
		return OtherSorts
	}
	switch c := sort[0]; {
	case c >= 'A' && c <= 'Z':
		return Capitals
	case c >= 'a' && c <= 'z':
		return LowerCase
	case c >= '0' && c <= '9':
		return Figures
	}
	return OtherSorts
}

var points = []string{".", ",", ";", ":", "-", "'", "!", "?", "&", "$", "£"}

// groupWords are what keepers call a group when all of it is there or is not.
var groupWords = map[string]Group{
	"capital": Capitals, "cap": Capitals, "upper case": Capitals, "uppercase": Capitals,
	"lower case": LowerCase, "lowercase": LowerCase, "small letter": LowerCase, "minuscule": LowerCase,
	"figure": Figures, "number": Figures, "numeral": Figures,
	"point": Points, "punctuation": Points,
}

// spacingShare is how much of the weight of a fount sold by weight is spaces and
// quads unless otherwise said: 20 % (Vaughn, Printing and Bookbinding for
// Schools).
const spacingShare = 0.2

// FountByWeight parts a fount sold by weight into letters and spacing; the unit
// is that of the weight given.
func FountByWeight(weight float64) (letters, spacing float64) {
	return weight * (1 - spacingShare), weight * spacingShare
}

// BookBill is the bill of 800 lb of pica: MacKellar, The American Printer, "A
// bill of pica". Small caps, spaces, quads, italic and ligatures are left out;
// the glyphs of its ligature counts were not printed.
func BookBill() Bill {
	return Bill{
		"a": 8500, "b": 1600, "c": 3000, "d": 4400, "e": 12000, "f": 2500, "g": 1700, "h": 6400, "i": 8000,
		"j": 400, "k": 800, "l": 4000, "m": 3000, "n": 8000, "o": 8000, "p": 1700, "q": 500, "r": 6200,
		"s": 8000, "t": 9000, "u": 3400, "v": 1200, "w": 2000, "x": 400, "y": 2000, "z": 200,
		"&": 200, ",": 4500, ";": 800, ":": 600, ".": 2000, "-": 1000, "?": 200, "!": 150, "'": 700,
		"0": 1300, "1": 1300, "2": 1200, "3": 1100, "4": 1000, "5": 1000, "6": 1000, "7": 1000, "8": 1000, "9": 1000,
		"A": 600, "B": 400, "C": 500, "D": 500, "E": 600, "F": 400, "G": 400, "H": 400, "I": 800, "J": 300,
		"K": 300, "L": 500, "M": 400, "N": 400, "O": 400, "P": 400, "Q": 180, "R": 400, "S": 500, "T": 650,
		"U": 300, "V": 300, "W": 400, "X": 180, "Y": 300, "Z": 80,
	}
}

// BookBillLb is the weight of type that BookBill is for, in pounds.
const BookBillLb = 800
