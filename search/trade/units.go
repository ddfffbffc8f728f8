package trade

import "math"

// Exact conversions, by the yard and pound agreement of 1959.
const (
	// MmPerInch is millimetres in an inch.
	MmPerInch = 25.4
	// KgPerPound is kilograms in a pound.
	KgPerPound = 0.45359237
	// KmPerMile is kilometres in a mile.
	KmPerMile = 1.609344
)

// Units is the system that measures are shown in.
type Units int

// The two systems.
const (
	// US shows inches, pounds and miles.
	US Units = iota
	// Metric shows millimetres, kilograms and kilometres.
	Metric
)

// Unit is a unit of length.
type Unit int

// Units of length. The zero value is the inch, which is what the trade means
// when it names no unit.
const (
	Inch Unit = iota
	Foot
	Yard
	Millimetre
	Centimetre
	Metre
	// Point is the American point.
	Point
	// Pica is 12 American points; a line of wood type is one pica.
	Pica
	// DidotPoint is the traditional Didot point.
	DidotPoint
	// Cicero is 12 Didot points.
	Cicero
	// DesktopPoint is 1/72 in.
	DesktopPoint
)

var unitMm = map[Unit]float64{
	Inch:         MmPerInch,
	Foot:         12 * MmPerInch,
	Yard:         36 * MmPerInch,
	Millimetre:   1,
	Centimetre:   10,
	Metre:        1000,
	Point:        PointMm,
	Pica:         PicaMm,
	DidotPoint:   DidotPointMm,
	Cicero:       CiceroMm,
	DesktopPoint: DesktopPointMm,
}

// tidy rounds to a billionth: a product of short decimals is then a short decimal
// again (14 in is 355.6 mm), and nothing that anybody can measure is lost. The
// products that go into it are converted one by one, so that a processor that
// can does not fuse them with the sum: the result is the same on every one.
func tidy(v float64) float64 { return math.Round(v*1e9) / 1e9 }

// Mm is the length of one unit in millimetres.
func (u Unit) Mm() float64 { return unitMm[u] }

var unitWords = map[string]Unit{
	`"`: Inch, "in": Inch, "ins": Inch, "inch": Inch, "inches": Inch,
	`'`: Foot, "ft": Foot, "foot": Foot, "feet": Foot,
	"yd": Yard, "yds": Yard, "yard": Yard, "yards": Yard,
	"mm": Millimetre, "millimetre": Millimetre, "millimetres": Millimetre, "millimeter": Millimetre, "millimeters": Millimetre,
	"cm": Centimetre, "cms": Centimetre, "centimetre": Centimetre, "centimetres": Centimetre, "centimeter": Centimetre, "centimeters": Centimetre,
	"m": Metre, "metre": Metre, "metres": Metre, "meter": Metre, "meters": Metre,
	"pt": Point, "pts": Point, "point": Point, "points": Point,
	"pica": Pica, "picas": Pica, "line": Pica, "lines": Pica,
	"cicero": Cicero, "ciceros": Cicero,
}
