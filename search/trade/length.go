package trade

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

const lengthHelp = `write it with a unit, as 10 in, 254 mm, 2 ft 6 in or 60 picas`

// side is a length as somebody wrote it: it may lack its unit.
type side struct {
	number float64
	unit   Unit
	named  bool
	// inches is what followed the feet.
	inches float64
}

func (l side) mm(def Unit) float64 {
	if l.named {
		def = l.unit
	}
	return tidy(float64(l.number*def.Mm()) + float64(l.inches*MmPerInch))
}

// side reads a number with its unit, if it has one.
func (s *scan) side() (side, bool) {
	n, ok := s.number()
	if !ok {
		return side{}, false
	}
	l := side{number: n}
	l.unit, l.named = s.unit()
	if l.named && l.unit == Foot {
		l.inches = s.inchesAfterFeet()
	}
	return l, true
}

// unit reads a unit of length. An x that sticks to it, as in 10inx15in, is left
// for whoever reads sides.
func (s *scan) unit() (Unit, bool) {
	before := s.rest
	w := s.word()
	if u, ok := unitWords[w]; ok {
		return s.pointSystem(u), true
	}
	if n := len(w) - 1; n > 0 && w[n] == 'x' {
		if u, ok := unitWords[w[:n]]; ok {
			s.rest = "x" + s.rest
			return u, true
		}
	}
	s.rest = before
	return 0, false
}

// pointSystem reads "Didot" or "desktop" after a unit of points.
func (s *scan) pointSystem(u Unit) Unit {
	if u != Point {
		return u
	}
	switch {
	case s.take("didot"):
		return DidotPoint
	case s.take("desktop"), s.take("dtp"):
		return DesktopPoint
	}
	return u
}

// inchesAfterFeet reads the 6" of 2' 6". A bare number under 12 will do.
func (s *scan) inchesAfterFeet() float64 {
	before := s.rest
	n, ok := s.number()
	if !ok || n >= 12 {
		s.rest = before
		return 0
	}
	if u, named := s.unit(); named && u != Inch {
		s.rest = before
		return 0
	}
	return n
}

// ParseLength reads a length as people write it and returns millimetres:
// "10 in", `10"`, "254mm", "2' 6\"", "10 1/2 in", "60 picas", "24 pt Didot".
// A number without a unit is in def. Points are American unless the text says
// otherwise. The error is a *ParseError. A length is more than 0 and at most 1 km.
func ParseLength(text string, def Unit) (mm float64, err error) {
	s := scan{plain(text)}
	l, ok := s.side()
	if !ok || !s.done() {
		return 0, misread(text, "a length", lengthHelp)
	}
	mm = l.mm(def)
	if mm <= 0 || mm > 1e6 {
		return 0, misread(text, "a length", "a length is more than 0 and at most 1 km")
	}
	return mm, nil
}

// FormatLength shows a length: in inches, with a fraction where the length is
// one (10 1/2 in), or in millimetres. It is rounded to 0.01 in or 0.1 mm, and
// below an inch to 0.001 in or 0.01 mm.
func FormatLength(mm float64, u Units) string {
	return lengthNumber(mm, u) + lengthUnit(u)
}

func lengthUnit(u Units) string {
	if u == Metric {
		return " mm"
	}
	return " in"
}

func lengthNumber(mm float64, u Units) string {
	if u == Metric {
		return trimmed(mm, places(mm < MmPerInch, 1))
	}
	in := mm / MmPerInch
	decimals := places(in < 1, 2)
	if f, ok := sixteenths(in, decimals); ok {
		return f
	}
	return trimmed(in, decimals)
}

func places(small bool, n int) int {
	if small {
		return n + 1
	}
	return n
}

// sixteenths writes inches as a whole number and a fraction, if they are the same
// to so many decimals.
func sixteenths(in float64, decimals int) (string, bool) {
	n, scale := math.Round(in*16), math.Pow10(decimals)
	if n == 0 || math.Round(in*scale) != math.Round(n/16*scale) {
		return "", false
	}
	whole, over, under := int(n)/16, int(n)%16, 16
	for over > 0 && over%2 == 0 {
		over, under = over/2, under/2
	}
	switch {
	case over == 0:
		return grouped(float64(whole), 0), true
	case whole == 0:
		return fmt.Sprintf("%d/%d", over, under), true
	}
	return fmt.Sprintf("%s %d/%d", grouped(float64(whole), 0), over, under), true
}

// trimmed writes a number with at most so many decimals, and no zeros at the
// end of them.
func trimmed(v float64, decimals int) string {
	scale := math.Pow10(decimals)
	rounded := math.Round(v*scale) / scale
	short := strconv.FormatFloat(rounded, 'f', -1, 64)
	if dot := strings.IndexByte(short, '.'); dot >= 0 {
		return grouped(rounded, len(short)-dot-1)
	}
	return grouped(rounded, 0)
}

// grouped writes a number, not a negative one, with exactly so many decimals and
// a comma at the thousands.
func grouped(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	whole, _, _ := strings.Cut(s, ".")
	end := len(whole)
	for i := end - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
