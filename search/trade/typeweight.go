package trade

import (
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// Weights of filled cases in pounds: a pair of upper and lower cases holds about
// 50 lb (a research site on case layouts), the fullest California cases about 100
// (a printing shop's blog); the rest is common practice.
const (
	caseTypeLow, caseTypeHigh       = 25, 60
	displayCaseLow, displayCaseHigh = 15, 40
	emptyCaseLow, emptyCaseHigh     = 8, 12
	fullestCase                     = 100
)

// displayMm is the body from which type counts as display: 24 points. A design
// choice.
const displayMm = 24 * PointMm

func metalWeight(d *pb.MetalTypeDetail) Estimate {
	switch {
	case d == nil:
		return Estimate{}
	case positive(d.GetAreaMm2()):
		in2 := d.GetAreaMm2() / mm2PerIn2
		low, high := metalLbPerIn2(d.GetAlloy())
		return guessed(in2*low, in2*high, "%s in² of type standing, %s", grouped(in2, 0), alloyWord(d.GetAlloy()))
	case positive(d.GetCases()):
		return casesWeight(d)
	}
	n, ok := piecesOf(d.Pieces, d.GetScheme(), d.GetBill(), Scheme{25, 50, 10})
	if !ok {
		return Estimate{}
	}
	return n.ofMetal(d)
}

// pieces is how many pieces of type there are, from low to high.
type pieces struct {
	low, high float64
	// spaces is how much the spaces add that are not among them.
	spaces float64
	basis  string
}

// spacesMore is what a fount weighs with its spaces, of what its letters weigh.
const spacesMore = 1 / (1 - spacingShare)

// piecesOf tells how many pieces there are: as the keeper says, or as the scheme
// has them, or as they were counted. What was not counted may be there too, up to
// as much as a fount of the usual scheme has.
func piecesOf(said *int32, scheme string, bill []*pb.SortCount, usual Scheme) (pieces, bool) {
	if said != nil {
		n := float64(*said)
		return pieces{n, n, 1, several(int(*said), "piece")}, n > 0
	}
	if s, err := ParseScheme(scheme); err == nil {
		n := float64(s.Bill().Pieces())
		return pieces{n, n, spacesMore, "a fount of " + s.String()}, true
	}
	counted := BillOf(bill)
	n, more, most := counted.Pieces(), 0, usual.Bill()
	for _, g := range []Group{Capitals, LowerCase, Figures, Points} {
		more += max(most.Sum(g)-counted.Sum(g), 0)
	}
	return pieces{float64(max(n, 1)), float64(n + more), spacesMore, several(n, "piece") + " counted"}, len(counted) > 0
}

func alloyWord(a pb.Alloy) string {
	for _, m := range Mixes() {
		if m.Alloy == a {
			word, _, _ := strings.Cut(m.Name, ",")
			return word + " metal"
		}
	}
	return "alloy not known"
}

func casesWeight(d *pb.MetalTypeDetail) Estimate {
	low, high := float64(displayCaseLow), float64(caseTypeHigh)
	if _, body := BodyMm(d.GetSize()); body >= displayMm {
		high = displayCaseHigh
	} else if body > 0 {
		low = caseTypeLow
	}
	return guessed(low*d.GetCases(), high*d.GetCases(), "%s cases of type, %g to %g lb each", trimmed(d.GetCases(), 2), low, high)
}

// Widths of a piece of type as a share of its body: a fount's letters average
// about half its body, narrow and wide faces a third and three quarters. A
// design choice.
const narrowSet, wideSet = 0.35, 0.75

// ofMetal is what so many pieces of a body weigh.
func (n pieces) ofMetal(d *pb.MetalTypeDetail) Estimate {
	bodyLow, bodyHigh := BodyMm(d.GetSize())
	_, high := metalLbPerIn2(d.GetAlloy())
	if n.spaces > 1 {
		n.basis += " with its spaces"
	}
	return guessed(
		n.low*square(bodyLow/MmPerInch)*narrowSet*metalSolidLow(d.GetAlloy()),
		n.high*square(bodyHigh/MmPerInch)*wideSet*high*n.spaces,
		"%s, %s, %s", n.basis, FormatTypeSize(d.GetSize()), alloyWord(d.GetAlloy()))
}

// metalSolidLow is the lightest solid metal of an alloy, in pounds a square inch.
func metalSolidLow(a pb.Alloy) float64 {
	low, _ := metalLbPerIn2(a)
	return low / lowSpaces
}

// Widths of a piece of wood type as a share of its body, from condensed to
// expanded. A design choice.
const condensedSet, expandedSet = 0.3, 1.0

func woodWeight(d *pb.WoodTypeDetail) Estimate {
	if d == nil {
		return Estimate{}
	}
	n, ok := piecesOf(d.Pieces, d.GetScheme(), d.GetBill(), Scheme{5, 5, 5})
	if !ok {
		return Estimate{}
	}
	bodyLow, bodyHigh := BodyMm(d.GetSize())
	low, high := woodLbPerIn2()
	return guessed(
		n.low*square(bodyLow/MmPerInch)*condensedSet*low,
		n.high*square(bodyHigh/MmPerInch)*expandedSet*high,
		"%s of wood type, %s", n.basis, FormatTypeSize(d.GetSize()))
}
