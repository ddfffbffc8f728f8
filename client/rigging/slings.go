package rigging

import "math"

// Slings: T = W / (n sin a), a from the horizontal. Factors as on two sling
// makers' charts; the least angle from a rental firm's advice.

// LeastSlingDeg is the least angle from the horizontal that is worked with.
const LeastSlingDeg = 30

// AngleFactor is how many times its share of the load a leg pulls at an angle
// from the horizontal, in degrees above 0 and up to 90: 1.155 at 60, 2 at 30.
func AngleFactor(deg float64) float64 { return 1 / math.Sin(deg*math.Pi/180) }

// Sling is what a load hangs in.
type Sling struct {
	// Legs is how many legs there are.
	Legs int
	// Deg is the angle of a leg from the horizontal.
	Deg float64
	// Rigid is true for a load that does not bend to share itself out: of three
	// or more legs only two are sure to carry it.
	Rigid bool
	// Chain is true for chain, of which three are counted.
	Chain bool
}

// Carrying is how many of the legs are counted on.
func (s Sling) Carrying() int {
	switch {
	case s.Rigid && s.Chain:
		return min(s.Legs, 3)
	case s.Rigid:
		return min(s.Legs, 2)
	}
	return s.Legs
}

// LegKg is the pull in each counted leg, in kilograms of force, under a load of
// so many kilograms. An angle below 30 degrees is refused. The error is a
// *RangeError.
func (s Sling) LegKg(massKg float64) (float64, error) {
	err := firstError(
		within("load in kilograms", massKg, 0, math.MaxFloat64),
		within("legs of a sling", float64(s.Legs), 1, 4),
	)
	if err != nil {
		return 0, err
	}
	if !(s.Deg >= LeastSlingDeg && s.Deg <= 90) {
		return 0, &RangeError{"sling angle from the horizontal", s.Deg,
			"must be from 30 to 90 degrees: below 30 use longer legs or a spreader"}
	}
	return massKg / float64(s.Carrying()) * AngleFactor(s.Deg), nil
}
