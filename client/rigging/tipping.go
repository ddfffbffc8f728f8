package rigging

import "math"

// Base is how a thing stands, for tipping over one edge.
type Base struct {
	// AcrossMm is the width of the base in the direction of tipping.
	AcrossMm float64
	// CentreMm is the height of the centre of gravity.
	CentreMm float64
}

// Ratio is half the base over the height of the centre of gravity: the share of
// its own weight that, pushing sideways, just tips it.
func (b Base) Ratio() float64 { return b.AcrossMm / 2 / b.CentreMm }

// TipDeg is the tilt at which it goes over by itself, in degrees.
func (b Base) TipDeg() float64 { return math.Atan(b.Ratio()) * 180 / math.Pi }

// Tips tells whether it goes over at an acceleration of so many g, standing free.
func (b Base) Tips(g float64) bool { return b.Ratio() < g }
