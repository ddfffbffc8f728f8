package trade

import (
	"strings"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
)

const (
	weightHelp = "write it as 1350 lb, 612 kg, 1200-1500 lb or weighed 1350 lb"
	// heaviestKg is the contract's limit for a weight.
	heaviestKg = 100_000
)

// perUnit is what one unit of mass is in kilograms. Tons and hundredweights
// are not the same in the United States and in Britain, so they are a range.
type perUnit struct{ low, high float64 }

func pounds(n float64) perUnit { return perUnit{n * KgPerPound, n * KgPerPound} }

var massUnits = map[string]perUnit{
	"lb": pounds(1), "lbs": pounds(1), "pound": pounds(1), "pounds": pounds(1), "#": pounds(1),
	"oz": pounds(1. / 16), "ounce": pounds(1. / 16), "ounces": pounds(1. / 16),
	"kg": {1, 1}, "kgs": {1, 1}, "kilo": {1, 1}, "kilos": {1, 1}, "kilogram": {1, 1}, "kilograms": {1, 1},
	"kilogramme": {1, 1}, "kilogrammes": {1, 1},
	"g": {.001, .001}, "gram": {.001, .001}, "grams": {.001, .001},
	"t": {1000, 1000}, "tonne": {1000, 1000}, "tonnes": {1000, 1000},
	"ton": {2000 * KgPerPound, 2240 * KgPerPound}, "tons": {2000 * KgPerPound, 2240 * KgPerPound},
	"cwt": {100 * KgPerPound, 112 * KgPerPound}, "hundredweight": {100 * KgPerPound, 112 * KgPerPound},
	"qr": pounds(28), "qrs": pounds(28),
	"st": pounds(14), "stone": pounds(14),
}

// tonKinds are the words that say which ton is meant.
var tonKinds = map[string]perUnit{
	"short": pounds(2000), "us": pounds(2000),
	"long": pounds(2240), "uk": pounds(2240), "imperial": pounds(2240),
	"metric": {1000, 1000},
}

var (
	measuredWords = []string{"weighed", "measured", "scaled", "on a scale", "by scale"}
	statedWords   = []string{"stated"}
	aboutWords    = []string{"approximately", "approx.", "approx", "about", "around", "roughly", "circa", "ca.", "ca", "c.", "est.", "est", "estimated", "say", "~", "≈", "between", "from", "stated", "at", ":"}
)

// ParseMostKg reads a weight as ParseWeight does, and gives the most that it may be,
// in kilograms.
func ParseMostKg(text string) (float64, error) {
	w, err := ParseWeight(text)
	if err != nil {
		return 0, err
	}
	if w.MassKg == nil {
		return w.GetHighKg(), nil
	}
	return w.GetMassKg(), nil
}

// ParseWeight reads the weight of a whole lot: "1350" (pounds), "1,350 lb",
// "612 kg", "1200-1500 lb", "~1,350 lb", "weighed 1350 lb", "2 cwt 3 qr". It is
// stated, or measured where the text says that it was weighed. A ton is 2,000 lb
// in the United States and 2,240 lb in Britain, and a hundredweight 100 or 112
// lb: they give a range, unless the text says which. The error is a *ParseError.
func ParseWeight(text string) (*pb.Weight, error) {
	s := scan{plain(text)}
	grounds := s.weightGrounds()
	low, high, ok := s.massRange()
	if s.take(","); ok && s.takeAny(measuredWords) {
		grounds = pb.Grounds_GROUNDS_MEASURED
	}
	s.takeAny(statedWords)
	if !ok || !s.done() {
		return nil, misread(text, "a weight", "%s", weightFix(s.rest))
	}
	switch {
	case low > high:
		return nil, misread(text, "a weight", "a range goes from less to more, as 1200-1500 lb")
	case low <= 0 || high > heaviestKg:
		return nil, misread(text, "a weight", "a weight is more than 0 and at most 100,000 kg")
	}
	w := &pb.Weight{Grounds: grounds}
	if low == high {
		w.MassKg = proto.Float64(low)
	} else {
		w.LowKg, w.HighKg = proto.Float64(low), proto.Float64(high)
	}
	return w, nil
}

func weightFix(rest string) string {
	if rest = strings.TrimSpace(rest); rest == "each" || rest == "ea" || rest == "ea." {
		return "give the weight of the whole lot, not of each"
	}
	return weightHelp
}

// weightGrounds reads the words before a weight that say how it is known.
func (s *scan) weightGrounds() pb.Grounds {
	grounds := pb.Grounds_GROUNDS_STATED
	for {
		switch {
		case s.takeAny(measuredWords):
			grounds = pb.Grounds_GROUNDS_MEASURED
		case s.takeAny(aboutWords):
		default:
			return grounds
		}
	}
}

// takeAny drops the first of the prefixes that is there as a whole word.
func (s *scan) takeAny(prefixes []string) bool {
	s.space()
	for _, p := range prefixes {
		if rest, ok := strings.CutPrefix(s.rest, p); ok && !startsWithLetter(rest) {
			s.rest = rest
			return true
		}
	}
	return false
}

func startsWithLetter(s string) bool { return s != "" && s[0] >= 'a' && s[0] <= 'z' }

// massRange reads one mass, or two with a dash, "to" or "and" between them; the
// first of two may lack its unit. No unit at all means pounds.
func (s *scan) massRange() (low, high float64, ok bool) {
	a, ok := s.mass()
	if !ok {
		return 0, 0, false
	}
	if !s.take("-") && !s.take("to ") && !s.take("and ") {
		a = a.or(pounds(1))
		return a.low(), a.high(), true
	}
	b, ok := s.mass()
	b = b.or(pounds(1))
	a = a.or(b.unit)
	return a.low(), b.high(), ok
}

// mass is a number with its unit, if it has one, and the smaller units after it.
type mass struct {
	number float64
	unit   perUnit
	more   perUnit
}

func (m mass) low() float64  { return tidy(float64(m.number*m.unit.low) + m.more.low) }
func (m mass) high() float64 { return tidy(float64(m.number*m.unit.high) + m.more.high) }

// or gives a mass without a unit this one.
func (m mass) or(unit perUnit) mass {
	if m.unit == (perUnit{}) {
		m.unit = unit
	}
	return m
}

func (s *scan) mass() (mass, bool) {
	n, ok := s.number()
	if !ok {
		return mass{}, false
	}
	m := mass{number: n, unit: s.massUnit()}
	for last := m.unit; last != (perUnit{}); {
		before := s.rest
		n, ok := s.number()
		unit := s.massUnit()
		if !ok || unit == (perUnit{}) || unit.high >= last.low {
			s.rest = before
			break
		}
		if unit == pounds(28) && last == massUnits["cwt"] {
			// Quarters are British, so the hundredweight is.
			m.unit = pounds(112)
		}
		m.more.low += float64(n * unit.low)
		m.more.high += float64(n * unit.high)
		last = unit
	}
	return m, true
}

// massUnit reads a unit of mass; the zero value if there is none.
func (s *scan) massUnit() perUnit {
	before := s.rest
	if s.take("#") {
		return massUnits["#"]
	}
	s.take("-")
	w := s.word()
	if kind, ok := tonKinds[w]; ok {
		if next := s.word(); next == "ton" || next == "tons" {
			return kind
		}
	}
	if u, ok := massUnits[w]; ok {
		return u
	}
	s.rest = before
	return perUnit{}
}

// FormatMass shows a mass in pounds or kilograms: whole ones from 10 up, with
// one decimal below, with three below 1.
func FormatMass(kg float64, u Units) string {
	return massNumber(kg, u) + massUnitName(u)
}

func massUnitName(u Units) string {
	if u == Metric {
		return " kg"
	}
	return " lb"
}

func massNumber(kg float64, u Units) string {
	v := kg
	if u == US {
		v = kg / KgPerPound
	}
	switch {
	case v < 1:
		return trimmed(v, 3)
	case v < 10:
		return trimmed(v, 1)
	}
	return grouped(v, 0)
}

// FormatWeight shows a weight with its grounds: "1,350 lb, weighed",
// "1,200-1,500 lb, stated", "1,200-1,900 lb, estimated (platen jobber, 10 x 15
// in)". A weight that nobody has given is "unknown".
func FormatWeight(w *pb.Weight, u Units) string {
	if w == nil || (w.MassKg == nil && w.HighKg == nil) {
		return "unknown"
	}
	text := formatMasses(w, u)
	switch w.GetGrounds() {
	case pb.Grounds_GROUNDS_MEASURED:
		return text + ", weighed"
	case pb.Grounds_GROUNDS_ESTIMATED:
		text += ", estimated"
	default:
		text += ", stated"
	}
	if w.GetBasis() != "" {
		text += " (" + w.GetBasis() + ")"
	}
	return text
}

func formatMasses(w *pb.Weight, u Units) string {
	spread := ""
	if w.LowKg != nil && w.HighKg != nil {
		spread = FormatMassRange(w.GetLowKg(), w.GetHighKg(), u)
	}
	switch {
	case w.MassKg == nil:
		return spread
	case spread == "":
		return FormatMass(w.GetMassKg(), u)
	}
	return FormatMass(w.GetMassKg(), u) + " (" + spread + ")"
}

// FormatMassRange shows a range of masses, or one mass where both ends read the
// same: "1,200-1,500 lb".
func FormatMassRange(lowKg, highKg float64, u Units) string {
	low, high := massNumber(lowKg, u), massNumber(highKg, u)
	if low == high {
		return high + massUnitName(u)
	}
	return low + " to " + high + massUnitName(u)
}
