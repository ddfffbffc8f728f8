package trade

import (
	"fmt"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// guessWeight estimates the whole lot.
func guessWeight(lot *pb.Lot) Estimate {
	switch lot.GetKind() {
	case pb.Kind_KIND_METAL_TYPE:
		return metalWeight(lot.GetMetalType()).times(lot)
	case pb.Kind_KIND_WOOD_TYPE:
		return woodWeight(lot.GetWoodType()).times(lot)
	case pb.Kind_KIND_CUTS:
		return cutsWeight(lot.GetCuts())
	case pb.Kind_KIND_CABINETS:
		return furnitureWeight(lot)
	case pb.Kind_KIND_STONES:
		return stoneWeight(lot).times(lot)
	}
	return machineWeight(lot).times(lot)
}

// guessed makes an estimate from pounds.
func guessed(lowLb, highLb float64, basis string, args ...any) Estimate {
	if !positive(lowLb) || !positive(highLb) {
		return Estimate{}
	}
	return Estimate{
		LowKg: lowLb * KgPerPound, HighKg: highLb * KgPerPound,
		Grounds: pb.Grounds_GROUNDS_ESTIMATED, Basis: fmt.Sprintf(basis, args...), Known: true,
	}
}

// times makes the estimate of one into that of the lot.
func (e Estimate) times(lot *pb.Lot) Estimate {
	n := count(lot)
	if n == 1 || !e.Known {
		return e
	}
	e.LowKg, e.HighKg = e.LowKg*n, e.HighKg*n
	e.Basis = fmt.Sprintf("%d of %s", int(n), e.Basis)
	return e
}

// count is how many there are in a lot, at least 1.
func count(lot *pb.Lot) float64 { return float64(max(lot.GetCount(), 1)) }

func machineWeight(lot *pb.Lot) Estimate {
	p, ok := PlanOf(lot)
	if !ok {
		return Estimate{}
	}
	e := guessed(p.LowKg/KgPerPound, p.HighKg/KgPerPound, "%s", ClassWord(p.Class))
	if p.Size != "any" {
		e.Basis += ", " + p.Size
	}
	return e
}

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
	case d.GetPieces() > 0 || len(d.GetBill()) > 0:
		return piecesWeight(d, float64(pieces(d.Pieces, d.GetBill())), 1, "%s pieces", grouped(float64(pieces(d.Pieces, d.GetBill())), 0))
	}
	if s, err := ParseScheme(d.GetScheme()); err == nil {
		return piecesWeight(d, float64(s.Bill().Pieces()), 1+spacingShare/(1-spacingShare), "a fount of %s with its spaces", s)
	}
	return Estimate{}
}

// pieces is how many pieces there are: as said, or as counted.
func pieces(said *int32, counted []*pb.SortCount) int {
	if said != nil {
		return int(*said)
	}
	return BillOf(counted).Pieces()
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

// piecesWeight estimates loose type from how many pieces of which body there are.
func piecesWeight(d *pb.MetalTypeDetail, n, spaces float64, basis string, args ...any) Estimate {
	bodyLow, bodyHigh := BodyMm(d.GetSize())
	_, high := metalLbPerIn2(d.GetAlloy())
	low := metalSolidLow(d.GetAlloy())
	e := guessed(
		n*square(bodyLow/MmPerInch)*narrowSet*low,
		n*square(bodyHigh/MmPerInch)*wideSet*high*spaces, basis, args...)
	if e.Known {
		e.Basis += ", " + FormatTypeSize(d.GetSize()) + ", " + alloyWord(d.GetAlloy())
	}
	return e
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
	bodyLow, bodyHigh := BodyMm(d.GetSize())
	if d == nil || bodyLow == 0 {
		return Estimate{}
	}
	n := pieces(d.Pieces, d.GetBill())
	if s, err := ParseScheme(d.GetScheme()); n == 0 && err == nil {
		n = s.Bill().Pieces()
	}
	low, high := woodLbPerIn2()
	return guessed(
		float64(n)*square(bodyLow/MmPerInch)*condensedSet*low,
		float64(n)*square(bodyHigh/MmPerInch)*expandedSet*high,
		"%d pieces of wood type, %s", n, FormatTypeSize(d.GetSize()))
}

// cutsWeight spans blocks from wood to solid metal.
func cutsWeight(d *pb.CutsDetail) Estimate {
	if !validRectangle(d.GetFace()) || d.GetPieces() < 1 {
		return Estimate{}
	}
	in2 := d.GetFace().GetWidthMm() * d.GetFace().GetHeightMm() / mm2PerIn2
	low, _ := woodLbPerIn2()
	_, high := metalLbPerIn2(pb.Alloy_ALLOY_UNSPECIFIED)
	n := float64(d.GetPieces())
	if n > 1 {
		// The face is that of the largest; the others may be a tenth of it.
		low = low * (1 + (n-1)/10) / n
	}
	return guessed(n*in2*low, n*in2*high, "%s on wood or metal, the largest %s", several(int(d.GetPieces()), "cut"), FormatRectangle(d.GetFace(), US))
}

// A cabinet's frame, and a case in it from nearly empty to heavy, in pounds: they
// give the 700 to 1,900 lb of a 24-case cabinet and cover the 1,500 to 3,500 of a
// 48-case one (common practice).
const (
	frameLowLb, frameHighLb   = 100, 220
	filledLowLb, filledHighLb = 25, 70
)

func furnitureWeight(lot *pb.Lot) Estimate {
	cases := lot.GetGeneral().GetCases()
	switch lot.GetClass() {
	case pb.Class_CLASS_TYPE_CABINET:
		if cases < 1 {
			return Estimate{}
		}
		n := float64(cases)
		return guessed(frameLowLb+n*filledLowLb, frameHighLb+n*filledHighLb, "type cabinet of %d cases, filled", cases).times(lot)
	case pb.Class_CLASS_TYPE_CASE:
		n := max(float64(cases), count(lot))
		return guessed(n*emptyCaseLow, n*(emptyCaseHigh+fullestCase), "%s, empty to full", several(int(n), "type case"))
	}
	return Estimate{}
}

func several(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// Densities in pounds a cubic foot: marble, steel and iron from tables of
// materials, granite from memory.
const (
	marbleLbFt3  = 160
	graniteLbFt3 = 168
	steelLbFt3   = 490
	ironLbFt3    = 450
)

// Thickness of a slab that nobody has measured, in inches: the table's own
// examples. A stand or drawers may add up to 300 lb. Design choices.
const (
	thinSlabIn, thickSlabIn = 2, 3
	standLb                 = 300
)

// SlabLb is the weight in pounds of a slab of so many inches and a density in
// pounds a cubic foot.
func SlabLb(lengthIn, widthIn, thickIn, lbPerFt3 float64) float64 {
	return lbPerFt3 * lengthIn * widthIn * thickIn / 1728
}

func stoneWeight(lot *pb.Lot) Estimate {
	low, high, ok := slabLb(lot)
	if !ok {
		if lot.GetClass() == pb.Class_CLASS_UNSPECIFIED {
			return Estimate{}
		}
		// TRADE §3.3, common practice.
		return guessed(300, 2200, "%s with its stand", ClassWord(lot.GetClass()))
	}
	return guessed(low, high+standLb, "%s slab, with or without a stand", FormatRectangle(lot.GetGeneral().GetWorkingSize(), US))
}

// slabLb is the weight of the slab alone, in pounds.
func slabLb(lot *pb.Lot) (low, high float64, ok bool) {
	d := lot.GetGeneral()
	if !validRectangle(d.GetWorkingSize()) {
		return 0, 0, false
	}
	thin, thick := float64(thinSlabIn), float64(thickSlabIn)
	if t := d.GetThicknessMm() / MmPerInch; positive(t) {
		thin, thick = t, t
	}
	light, heavy := slabDensity(lot)
	w, h := d.GetWorkingSize().GetWidthMm()/MmPerInch, d.GetWorkingSize().GetHeightMm()/MmPerInch
	return SlabLb(w, h, thin, light), SlabLb(w, h, thick, heavy), true
}

func slabDensity(lot *pb.Lot) (light, heavy float64) {
	material := plain(lot.GetGeneral().GetMaterial())
	switch {
	case strings.Contains(material, "marble"):
		return marbleLbFt3, marbleLbFt3
	case strings.Contains(material, "granite"):
		return graniteLbFt3, graniteLbFt3
	case strings.Contains(material, "steel"):
		return steelLbFt3, steelLbFt3
	case strings.Contains(material, "iron"):
		return ironLbFt3, ironLbFt3
	case lot.GetClass() == pb.Class_CLASS_IMPOSING_SURFACE:
		return ironLbFt3, steelLbFt3
	case lot.GetClass() == pb.Class_CLASS_IMPOSING_STONE:
		return marbleLbFt3, graniteLbFt3
	}
	return marbleLbFt3, steelLbFt3
}
