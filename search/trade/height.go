package trade

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Height is a height to paper: from the foot of type to its face.
type Height struct {
	// Where is the country or family that uses it.
	Where string
	// LowMm and HighMm are its height in millimetres; they differ where the
	// sources do.
	LowMm, HighMm float64
	// Inch is the height in inches as printed; 0 where only a range is known.
	Inch float64
	// MeasureIt is true where the sources conflict or were not seen: no advice
	// rests on it, the type has to be measured.
	MeasureIt bool
}

// heights: a wood-type maker's page of measurements for the first four; the
// topic "Type height" of a printing museum for the Italian ones; the last two
// from memory (older height lists), with a conflict for Russia.
var heights = []Height{
	{Where: "United States, United Kingdom, Canada", Inch: 0.918, LowMm: 23.317, HighMm: 23.317},
	{Where: "France, Germany, Switzerland, most of Europe", Inch: 0.928, LowMm: 23.56, HighMm: 23.57},
	{Where: "Belgium", Inch: 0.933, LowMm: 23.70, HighMm: 23.70},
	{Where: "Netherlands", Inch: 0.9785, LowMm: 24.79, HighMm: 24.85},
	{Where: "Italy, north (French height)", Inch: 0.9278, LowMm: 23.566, HighMm: 23.566},
	{Where: "Italy, centre and south (Italian height)", Inch: 0.9767, LowMm: 24.809, HighMm: 24.809},
	{Where: "Russia", LowMm: 23.82, HighMm: 25.10, MeasureIt: true},
	{Where: "Denmark (old), Leipzig height", LowMm: 24.8, HighMm: 25.2, MeasureIt: true},
}

// Heights returns the heights to paper known, the American and English first.
func Heights() []Height {
	all := make([]Height, len(heights))
	copy(all, heights)
	return all
}

// USHeightMm is the height to paper of the United States, the United Kingdom
// and Canada: 0.918 in.
const USHeightMm = 0.918 * MmPerInch

// sameHeightMm is how far two heights may differ and still be printed together
// without underlay: 0.002 in, common practice.
const sameHeightMm = 0.002 * MmPerInch

// HeightNear returns the heights within 0.1 mm of what somebody measured, the
// nearest first; those that have to be measured anyway are left out.
func HeightNear(mm float64) []Height {
	var near []Height
	for _, h := range heights {
		if !h.MeasureIt && h.off(mm) <= 0.1 {
			near = append(near, h)
		}
	}
	slices.SortStableFunc(near, func(a, b Height) int { return cmp.Compare(a.off(mm), b.off(mm)) })
	return near
}

// off is how far a measure lies outside the height.
func (h Height) off(mm float64) float64 {
	return max(h.LowMm-mm, mm-h.HighMm, 0)
}

// PrintTogether tells whether type of two heights, in millimetres, can be printed
// together, and what to do about it. Lower type can be underlaid. Type that is
// higher than the rest must not go on a press set for the rest.
func PrintTogether(aMm, bMm float64) (together bool, advice string) {
	off := math.Abs(aMm - bMm)
	switch {
	case !(aMm > 0 && bMm > 0):
		return false, "measure both heights with a caliper first"
	case off <= sameHeightMm:
		return true, "the heights are the same within 0.002 in"
	}
	return false, fmt.Sprintf("they differ by %s (%s): underlay the lower with card or paper, "+
		"and never print the higher on a press set for the lower unless its bed is lowered; do not plane type",
		FormatLength(off, US), FormatLength(off, Metric))
}
