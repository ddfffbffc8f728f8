package sheet

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// unit is a unit by the word it is written with, in terms of the unit that the
// contract keeps.
type unit struct {
	word string
	per  float64
}

var (
	massUnits   = []unit{{" lb", trade.KgPerPound}, {" kg", 1}}
	lengthUnits = []unit{{" in", trade.MmPerInch}, {" mm", 1}}
	roadUnits   = []unit{{" mi", trade.KmPerMile}, {" km", 1}}
	areaUnits   = []unit{{" sq in", trade.MmPerInch * trade.MmPerInch}, {" cm2", 100}, {" mm2", 1}}
	// One pound a square foot is KgPerPound kg on 0.3048 m square.
	floorUnits = []unit{{" psf", trade.KgPerPound / (0.3048 * 0.3048)}, {" kg/m2", 1}}
)

// told writes a figure in whichever unit is shortest, so that read takes it back
// to the same figure; where no unit does, in the last, to the digits it takes.
func told(v float64, units []unit, read func(string) (float64, error)) string {
	best := ""
	for _, u := range units {
		for _, n := range []float64{math.Round(v/u.per*1e5) / 1e5, v / u.per} {
			text := digits(n) + u.word
			back, err := read(text)
			if err == nil && back == v && (best == "" || len(text) < len(best)) {
				best = text
			}
		}
	}
	if best == "" {
		last := units[len(units)-1]
		best = digits(v/last.per) + last.word
	}
	return best
}

// digits writes a number without an exponent, in at most 15 characters: package
// trade reads no longer one.
func digits(v float64) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if dot := strings.IndexByte(s, '.'); dot >= 0 && len(s) > 15 {
		s = strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', max(0, 14-dot), 64), "0"), ".")
	}
	return s
}

// readMass reads a single mass in kilograms.
func readMass(text string) (float64, error) {
	w, err := trade.ParseWeight(text)
	if err != nil {
		return 0, err
	}
	if w.MassKg == nil {
		return 0, fmt.Errorf("%q is a range: write one figure, as 1350 lb or 612 kg", text)
	}
	return w.GetMassKg(), nil
}

func readLength(text string) (float64, error) { return trade.ParseLength(text, trade.Inch) }

// readMassOrNone reads a rated load; "none" and "0" are a present zero.
func readMassOrNone(text string) (float64, error) {
	switch strings.ToLower(text) {
	case "none", "no", "0":
		return 0, nil
	}
	return readMass(text)
}

func readArea(text string) (float64, error) {
	return readAmount(text, "an area", "as 54 sq in or 350 cm2", map[string]float64{
		"sqin": areaUnits[0].per, "squareinches": areaUnits[0].per, "in2": areaUnits[0].per, "in²": areaUnits[0].per,
		"sqcm": 100, "cm2": 100, "cm²": 100, "sqmm": 1, "mm2": 1, "mm²": 1,
	})
}

func readFloor(text string) (float64, error) {
	return readAmount(text, "a floor load", "as 50 psf or 250 kg/m2", map[string]float64{
		"psf": floorUnits[0].per, "lb/sqft": floorUnits[0].per, "lb/ft2": floorUnits[0].per, "lb/ft²": floorUnits[0].per,
		"kg/m2": 1, "kg/m²": 1, "kg/sqm": 1,
	})
}

var groupedRE = regexp.MustCompile(`^\d{1,3}(,\d{3})+(\.\d+)?$`)

// ungrouped takes the commas at the thousands out; any other comma stays, and
// is no number: 1,5 could be one and a half.
func ungrouped(text string) string {
	if groupedRE.MatchString(text) {
		return strings.ReplaceAll(text, ",", "")
	}
	return text
}

// readAmount reads a number with one of the units; spaces in the unit do not matter.
func readAmount(text, what, how string, units map[string]float64) (float64, error) {
	body := strings.ToLower(text)
	end := strings.IndexFunc(body, func(r rune) bool { return !strings.ContainsRune("0123456789.,", r) })
	if end > 0 {
		n, err := strconv.ParseFloat(ungrouped(body[:end]), 64)
		per, known := units[strings.ReplaceAll(body[end:], " ", "")]
		if err == nil && known && n > 0 && n <= 1e9 {
			return math.Round(n*per*1e9) / 1e9, nil
		}
	}
	return 0, fmt.Errorf("%q is not %s: write it %s", text, what, how)
}

// readNumber reads a plain number between low and high.
func readNumber(text string, low, high float64) (float64, error) {
	n, err := strconv.ParseFloat(ungrouped(text), 64)
	if err != nil || !(n >= low && n <= high) {
		return 0, fmt.Errorf("%q is not a number from %s to %s", text, digits(low), digits(high))
	}
	return n, nil
}

// readCount reads a whole number from low to high.
func readCount(text string, low, high int32) (int32, error) {
	n, err := strconv.ParseInt(ungrouped(text), 10, 32)
	if err != nil || int32(n) < low || int32(n) > high {
		return 0, fmt.Errorf("%q is not a count: write a whole number, %d to %d", text, low, high)
	}
	return int32(n), nil
}

// readYes reads yes or no.
func readYes(text string) (bool, error) {
	switch strings.ToLower(text) {
	case "yes", "true", "y":
		return true, nil
	case "no", "false", "n":
		return false, nil
	}
	return false, fmt.Errorf("%q is neither yes nor no", text)
}

// rectangleText writes two sides so that they read back equal.
func rectangleText(r *pb.Rectangle) string {
	best := ""
	for _, u := range lengthUnits {
		text := side(r.GetWidthMm(), u) + "x" + side(r.GetHeightMm(), u) + u.word
		back, err := trade.ParseRectangle(text)
		same := err == nil && back.GetWidthMm() == r.GetWidthMm() && back.GetHeightMm() == r.GetHeightMm()
		if same && (best == "" || len(text) < len(best)) {
			best = text
		}
	}
	if best == "" {
		best = digits(r.GetWidthMm()) + "x" + digits(r.GetHeightMm()) + " mm"
	}
	return best
}

// side is a length in a unit, rounded where that loses nothing.
func side(mm float64, u unit) string {
	n := math.Round(mm/u.per*1e5) / 1e5
	if math.Abs(n*u.per-mm) < 1e-9 {
		return digits(n)
	}
	return digits(mm / u.per)
}

// moneyText writes a price with its currency: "USD 1250.50".
func moneyText(m *pb.Money) string {
	text := fmt.Sprintf("%s %d", m.GetCurrencyCode(), m.GetUnits())
	if m.GetNanos() != 0 {
		cents := strings.TrimRight(fmt.Sprintf("%09d", m.GetNanos()), "0")
		text += "." + cents + strings.Repeat("0", max(0, 2-len(cents)))
	}
	return text
}

// dateText writes a day: "2027-01-31".
func dateText(d *pb.Date) string {
	return fmt.Sprintf("%04d-%02d-%02d", d.GetYear(), d.GetMonth(), d.GetDay())
}

// typeSizeText writes a body size: "24 pt Didot", "12 line", "great primer". An
// old name stands only where it says the same by itself.
func typeSizeText(s *pb.TypeSize) string {
	back, err := trade.ParseTypeSize(s.GetOldName())
	switch {
	case err == nil && proto.Equal(back, s):
		return s.GetOldName()
	case s.Lines != nil:
		return digits(s.GetLines()) + " line"
	}
	system := map[pb.PointSystem]string{
		pb.PointSystem_POINT_SYSTEM_AMERICAN: " American",
		pb.PointSystem_POINT_SYSTEM_DIDOT:    " Didot",
		pb.PointSystem_POINT_SYSTEM_DESKTOP:  " desktop",
	}
	return digits(s.GetPoints()) + " pt" + system[s.GetSystem()]
}
