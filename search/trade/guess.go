package trade

import (
	"fmt"

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
	p, ok := weightPlanOf(lot)
	if !ok {
		return Estimate{}
	}
	e := Estimate{
		LowKg: p.LowKg, HighKg: p.HighKg, Grounds: pb.Grounds_GROUNDS_ESTIMATED,
		Basis: ClassWord(p.Class), Known: true,
	}
	if p.Size != "any" {
		e.Basis += ", " + p.Size
	}
	return e
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
	return guessed(n*in2*low, n*in2*high, "%s on wood or metal, the largest %s", several(int(d.GetPieces()), "cut"), both(d.GetFace()))
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
	return grouped(float64(n), 0) + " " + word + "s"
}
