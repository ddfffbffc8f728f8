package trade

import (
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

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

// slabOf is the weight in pounds of a slab of so many inches and a density in
// pounds a cubic foot.
func slabOf(lengthIn, widthIn, thickIn, lbPerFt3 float64) float64 {
	return lbPerFt3 * lengthIn * widthIn * thickIn / 1728
}

func stoneWeight(lot *pb.Lot) Estimate {
	low, high, ok := slabLb(lot)
	if !ok {
		if lot.GetClass() == pb.Class_CLASS_UNSPECIFIED {
			return Estimate{}
		}
		// Common practice.
		return guessed(300, 2200, "%s with its stand", ClassWord(lot.GetClass()))
	}
	return guessed(low, high+standLb, "%s slab, with or without a stand", both(lot.GetGeneral().GetWorkingSize()))
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
	return slabOf(w, h, thin, light), slabOf(w, h, thick, heavy), true
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
