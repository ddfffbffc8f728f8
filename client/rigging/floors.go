package rigging

import (
	"fmt"
	"math"

	"heirpress/search/trade"
)

// squareFootM2 is a square foot in square metres.
const squareFootM2 = 0.3048 * 0.3048

// kgPerM2OfPsf is a pound a square foot in kilograms a square metre.
const kgPerM2OfPsf = trade.KgPerPound / squareFootM2

// FloorUse is what a floor was designed for.
type FloorUse struct {
	// Name is the use: "office".
	Name string
	// Psf is the uniform design load in pounds a square foot.
	Psf float64
	// PointLb is the single load that it is also designed for, in pounds; 0
	// where the table has none.
	PointLb float64
}

// KgPerM2 is the uniform design load in kilograms a square metre.
func (u FloorUse) KgPerM2() float64 { return u.Psf * kgPerM2OfPsf }

// floorUses: ASCE 7, table 4.3-1. Offices, dwellings and the two storage loads
// seen in print, the rest from memory. What a floor carries today is another
// matter.
var floorUses = []FloorUse{
	{"dwelling", 40, 0},
	{"garage", 40, 3000},
	{"office", 50, 2000},
	{"stairs", 100, 300},
	{"light manufacturing", 125, 2000},
	{"light storage", 125, 0},
	{"heavy manufacturing", 250, 3000},
	{"heavy storage", 250, 0},
}

// FloorUseOf finds a use by its name. The error lists the names.
func FloorUseOf(name string) (FloorUse, error) {
	names := ""
	for _, u := range floorUses {
		if u.Name == name {
			return u, nil
		}
		names += ", " + u.Name
	}
	return FloorUse{}, fmt.Errorf("%q is not a use of a floor that has a design load: write one of %s", name, names[2:])
}

// PatchKgPerM2 is the pressure of a load on the rectangle that it stands on, in
// kilograms a square metre. It is not comparable one to one with a design load,
// which is for a whole floor: a joist does not feel the patch but what reaches
// it. The error is a *RangeError.
func PatchKgPerM2(massKg, widthMm, depthMm float64) (float64, error) {
	err := within("load in kilograms", massKg, 0, math.MaxFloat64)
	if err == nil && !(widthMm > 0 && depthMm > 0 && widthMm*depthMm <= math.MaxFloat64) {
		err = &RangeError{"patch side in millimetres", min(widthMm, depthMm), "both sides must be more than 0"}
	}
	if err != nil {
		return 0, err
	}
	return massKg / (widthMm * depthMm / 1e6), nil
}

// spreadMm is the side over which a skid on 3/4 in plywood and 4x4s across the
// joists spreads a footprint further, all round: 1 ft. Common practice.
const spreadMm = 304.8

// SpreadKgPerM2 is the pressure once a footprint stands on a skid and timbers
// that reach a foot further all round. Errors as for PatchKgPerM2.
func SpreadKgPerM2(massKg, widthMm, depthMm float64) (float64, error) {
	if _, err := PatchKgPerM2(massKg, widthMm, depthMm); err != nil {
		return 0, err
	}
	return PatchKgPerM2(massKg, widthMm+2*spreadMm, depthMm+2*spreadMm)
}
