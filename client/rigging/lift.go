package rigging

import "math"

// The revised lifting equation: DHHS (NIOSH) publication 94-110, Applications
// Manual for the Revised NIOSH Lifting Equation, revised 9/2021. Constants and
// bounds as published; the asymmetry multiplier is from memory.

// Form is which of its two published forms the equation is used in. They are not
// conversions of each other to the last digit, so both are kept as printed.
type Form int

const (
	// InchPound takes inches and gives pounds.
	InchPound Form = iota
	// Metric takes centimetres and gives kilograms.
	Metric
)

// equation is the equation's constants in one form.
type equation struct {
	load                   float64 // the load constant
	near, far              float64 // horizontal: least counted, most allowed
	knuckle, high, perUnit float64 // vertical: best height, most allowed, loss a unit
	short, long, travel    float64 // distance: least counted, most allowed, gain
}

var equations = map[Form]equation{
	InchPound: {load: 51, near: 10, far: 25, knuckle: 30, high: 70, perUnit: .0075, short: 10, long: 70, travel: 1.8},
	Metric:    {load: 23, near: 25, far: 63, knuckle: 75, high: 175, perUnit: .003, short: 25, long: 175, travel: 4.5},
}

// Hands is where the hands are at one end of a lift.
type Hands struct {
	// Horizontal is from the middle between the ankles to the hands.
	Horizontal float64
	// Vertical is from the floor to the hands.
	Vertical float64
	// TwistDeg is how far to the side the load is, in degrees.
	TwistDeg float64
}

// Coupling is how well the hands hold the load.
type Coupling int

// Couplings, best first.
const (
	Good Coupling = iota
	Fair
	Poor
)

// Lift is one lifting task, in inches or centimetres as its form says.
type Lift struct {
	Form                Form
	Origin, Destination Hands
	// PerMinute is how often, over the spell.
	PerMinute float64
	// Spell is for how long.
	Spell    Spell
	Coupling Coupling
	// Beyond is whatever else the task involves: anything here is outside the
	// equation's scope.
	Beyond []Circumstance
}

// Rounding is how figures are rounded on the way.
type Rounding int

const (
	// Exact rounds nothing.
	Exact Rounding = iota
	// AsPrinted works as the manual's worksheets do: multipliers to two places,
	// the horizontal one in inches from the printed table (which has .46 and .44
	// at 22 and 23 in, where the formula gives .45 and .43) at the nearest whole
	// inch; the limit and the index to one place.
	AsPrinted
)

// Limit is the recommended weight limit and what it is made of.
type Limit struct {
	// The multipliers: horizontal, vertical, distance, asymmetric, frequency,
	// coupling.
	HM, VM, DM, AM, FM, CM float64
	// RWL is the recommended weight limit, in pounds or kilograms; 0 means: do
	// not lift.
	RWL float64

	rounding Rounding
}

// AtOrigin is the limit where the lift begins. The error is a *ScopeError or a
// *RangeError.
func (l Lift) AtOrigin(r Rounding) (Limit, error) { return l.at(l.Origin, r) }

// AtDestination is the limit where the load is set down, which counts if it has
// to be set down with control. Its frequency multiplier goes by the height at the
// origin all the same. Errors as for AtOrigin.
func (l Lift) AtDestination(r Rounding) (Limit, error) { return l.at(l.Destination, r) }

func (l Lift) at(h Hands, r Rounding) (Limit, error) {
	if err := l.check(); err != nil {
		return Limit{}, err
	}
	e := equations[l.Form]
	m := Limit{
		HM: e.horizontal(h.Horizontal), VM: e.vertical(h.Vertical),
		DM: e.distance(math.Abs(l.Destination.Vertical - l.Origin.Vertical)),
		AM: asymmetry(h.TwistDeg),
		FM: frequency(l.PerMinute, l.Spell, l.Origin.Vertical >= e.knuckle),
		CM: coupling(l.Coupling, h.Vertical >= e.knuckle), rounding: r,
	}
	if r == AsPrinted {
		m.round(l.Form, h)
	}
	m.RWL = m.places(e.load*m.HM*m.VM*m.DM*m.AM*m.FM*m.CM, 1)
	return m, nil
}

// check refuses what is out of scope, and figures that are none.
func (l Lift) check() error {
	if len(l.Beyond) > 0 {
		return outOfScope(l.Beyond)
	}
	most := math.MaxFloat64
	return firstError(
		within("form", float64(l.Form), 0, float64(Metric)),
		within("coupling", float64(l.Coupling), 0, float64(Poor)),
		within("spell", float64(l.Spell), 0, float64(UpToEightHours)),
		within("lifts a minute", l.PerMinute, 0, most),
		within("horizontal distance at the origin", l.Origin.Horizontal, 0, most),
		within("height at the origin", l.Origin.Vertical, 0, most),
		within("twist at the origin", l.Origin.TwistDeg, 0, 180),
		within("horizontal distance at the destination", l.Destination.Horizontal, 0, most),
		within("height at the destination", l.Destination.Vertical, 0, most),
		within("twist at the destination", l.Destination.TwistDeg, 0, 180),
	)
}

func (e equation) horizontal(h float64) float64 {
	if h > e.far {
		return 0
	}
	return e.near / max(h, e.near)
}

func (e equation) vertical(v float64) float64 {
	if v > e.high {
		return 0
	}
	return 1 - e.perUnit*math.Abs(v-e.knuckle)
}

func (e equation) distance(d float64) float64 {
	if d > e.long {
		return 0
	}
	return 0.82 + e.travel/max(d, e.short)
}

func asymmetry(deg float64) float64 {
	if deg > 135 {
		return 0
	}
	return 1 - 0.0032*deg
}

// coupling is Table 7 of the manual, from memory; its fair row is confirmed by
// the manual's example 4.
func coupling(c Coupling, high bool) float64 {
	switch {
	case c == Poor:
		return 0.90
	case c == Fair && !high:
		return 0.95
	}
	return 1
}

// round rounds the multipliers as the worksheets do.
func (m *Limit) round(f Form, h Hands) {
	m.HM = m.places(m.HM, 2)
	if in := math.Round(h.Horizontal); f == InchPound && m.HM > 0 {
		m.HM = printedHorizontal(in)
	}
	for _, v := range []*float64{&m.VM, &m.DM, &m.AM, &m.FM, &m.CM} {
		*v = m.places(*v, 2)
	}
}

// printedHorizontal is Table 1 of the manual at a whole inch.
func printedHorizontal(in float64) float64 {
	switch in {
	case 22:
		return .46
	case 23:
		return .44
	}
	return toPlaces(10/max(in, 10), 2)
}

// places rounds a figure if it is to be as printed.
func (m Limit) places(v float64, n int) float64 {
	if m.rounding == Exact {
		return v
	}
	return toPlaces(v, n)
}

// toPlaces rounds halves up, as a person does: .745 is .75 even where the
// machine holds a hair less.
func toPlaces(v float64, n int) float64 {
	scale := math.Pow10(n)
	return math.Floor(v*scale+0.5+1e-9) / scale
}

// Index is the lifting index of a load: how many times the limit it is. It is not
// defined, and ok is false, where the limit is 0: do not lift.
func (m Limit) Index(load float64) (li float64, ok bool) {
	if m.RWL == 0 {
		return 0, false
	}
	return m.places(load/m.RWL, 1), true
}

// Band is what a lifting index means, by the manual's page 20: 1 is the goal of
// design, above it some are at more risk; some experts hold that above 3 nearly
// all are.
type Band int

// Bands, mildest first.
const (
	// WithinLimit is an index of at most 1.
	WithinLimit Band = iota
	// AboveLimit is an index above 1.
	AboveLimit
	// FarAboveLimit is an index above 3.
	FarAboveLimit
	// DoNotLift is where the limit is 0.
	DoNotLift
)

// BandOf is the band of a load under a limit.
func (m Limit) BandOf(load float64) Band {
	li, ok := m.Index(load)
	switch {
	case !ok:
		return DoNotLift
	case li <= 1:
		return WithinLimit
	case li <= 3:
		return AboveLimit
	}
	return FarAboveLimit
}
