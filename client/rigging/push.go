package rigging

import (
	"math"

	"heirpress/search/trade"
)

// Rolling resistance of hard wheels or steel pipe on a smooth hard floor is 0.01
// to 0.03 of the weight, and 1.5 to 2 times that to start; the upper ends are
// planned with. Memory and common practice.
const (
	rollHigh   = 0.03
	startTimes = 2
)

// What one person may push, in kilograms of force: to start, and to keep going.
// HSE guidance L23 gives 20 and 10 for men, 15 and 7 for women, from memory; the
// lower are used, so that they hold for any crew.
const (
	personStartKg = 15
	personKeepKg  = 7
)

// Slope is a rise over a run: Slope{1, 12} is one in twelve.
type Slope struct {
	Rise float64 `json:"rise"`
	Run  float64 `json:"run"`
}

// Flat is no slope.
var Flat = Slope{0, 1}

// steepest is the slope above which a load is winched, not pushed: 1 in 8.
// Common practice.
var steepest = Slope{1, 8}

// Deg is its angle in degrees.
func (s Slope) Deg() float64 { return math.Atan2(s.Rise, s.Run) * 180 / math.Pi }

// PushKg is the force along the slope that keeps a load rolling up it, in
// kilograms of force: W (sin a + mu cos a). The error is a *RangeError.
func (s Slope) PushKg(massKg, mu float64) (float64, error) {
	err := firstError(
		within("load in kilograms", massKg, 0, math.MaxFloat64),
		within("rolling resistance", mu, 0, 1),
		within("rise of a slope", s.Rise, 0, math.MaxFloat64),
	)
	if err == nil && !(s.Run > 0) {
		err = &RangeError{"run of a slope", s.Run, "must be more than 0"}
	}
	if err != nil {
		return 0, err
	}
	a := math.Atan2(s.Rise, s.Run)
	return massKg * (math.Sin(a) + mu*math.Cos(a)), nil
}

// push is PushKg for slopes and loads that are known to be right.
func (s Slope) push(massKg, mu float64) float64 {
	a := math.Atan2(s.Rise, s.Run)
	return massKg * (math.Sin(a) + mu*math.Cos(a))
}

// pushers is how many people it takes to start a push and to keep it going.
func pushers(startKg, keepKg float64) int {
	return int(math.Ceil(max(startKg/personStartKg, keepKg/personKeepKg)))
}

// stepMm is the rise of a step that nobody has measured: 7 in. Common practice.
const stepMm = 7 * trade.MmPerInch

// RampMm is how long a ramp of a slope has to be to rise so far, measured on the
// floor, in millimetres.
func RampMm(riseMm float64, s Slope) float64 { return riseMm * s.Run / s.Rise }
