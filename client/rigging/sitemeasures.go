package rigging

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heirpress/search/trade"
)

// parseMass reads one mass in kilograms.
func parseMass(text string) (float64, error) {
	w, err := trade.ParseWeight(text)
	if err != nil {
		return 0, err
	}
	if w.MassKg == nil {
		return 0, fmt.Errorf("%q is a range: write one figure, as 1350 lb or 612 kg", text)
	}
	return w.GetMassKg(), nil
}

// Bounds of what is believed of a door or a way, and of a vehicle, in
// millimetres: a figure beyond them has the wrong unit.
const (
	leastWayMm, mostWayMm   = 300, 8_000
	leastSpanMm, mostSpanMm = 500, 20_000
)

// believed refuses a length that is out of all reason.
func believed(mm float64, text string, least, most float64) (float64, error) {
	if mm >= least && mm <= most {
		return mm, nil
	}
	return 0, fmt.Errorf("%q is %s: is its unit right? It should be from %s to %s", text, inBoth(mm), inBoth(least), inBoth(most))
}

func inBoth(mm float64) string {
	return trade.FormatLength(roundTo(mm, trade.MmPerInch), trade.US) + " (" + trade.FormatLength(roundTo(mm, 1), trade.Metric) + ")"
}

// unitRE finds whether a length names its unit.
var unitRE = regexp.MustCompile(`[\p{L}"'″′]`)

// parseSpan reads a length of a vehicle. It has to name its unit: feet and inches
// are both usual.
func parseSpan(text string) (float64, error) {
	if !unitRE.MatchString(text) {
		return 0, fmt.Errorf("%q names no unit: write %s ft, or whichever it is", text, text)
	}
	mm, err := trade.ParseLength(text, trade.Foot)
	if err != nil {
		return 0, err
	}
	return believed(mm, text, leastSpanMm, mostSpanMm)
}

var byRE = regexp.MustCompile(`\s*(?:[x×*]|\bby\b)\s*`)

// parseDeck reads length by width, in whatever order: the longer is the length.
func parseDeck(text string) ([2]float64, error) {
	sides := byRE.Split(strings.ToLower(text), -1)
	if len(sides) != 2 {
		return [2]float64{}, fmt.Errorf("%q is not a deck: write length by width, as 16x7 ft", text)
	}
	if unit := strings.TrimLeft(sides[1], "0123456789., /"); !unitRE.MatchString(sides[0]) {
		sides[0] += " " + unit
	}
	a, err := parseSpan(strings.TrimSpace(sides[0]))
	if err != nil {
		return [2]float64{}, err
	}
	b, err := parseSpan(strings.TrimSpace(sides[1]))
	return [2]float64{max(a, b), min(a, b)}, err
}

// named parts "alley door 62x84 in" into its name and its measure.
func named(text string) (name, measure string) {
	at := strings.IndexAny(text, "0123456789")
	if at < 0 {
		return text, ""
	}
	return strings.Trim(text[:at], " ,:"), text[at:]
}

// doorStopsMm is how much narrower a door is clear than its nominal size: a 36 in
// door gives 34. Common practice.
const doorStopsMm = 2 * trade.MmPerInch

// parseDoor reads a door: "34 in", "62x84 in", "alley door 62 x 84 in clear",
// "hall door nominal 36 in". A size is clear unless it says that it is nominal.
func parseDoor(text string) (Door, error) {
	name, size := named(strings.ToLower(text))
	d := Door{Name: strings.Trim(strings.ReplaceAll(name, "nominal", ""), " ,:")}
	less := 0.0
	if strings.Contains(name+size, "nominal") {
		less = doorStopsMm
	}
	for _, word := range []string{"nominal", "clear", "wide"} {
		size = strings.TrimSpace(strings.ReplaceAll(size, word, ""))
	}
	sides, err := parseSides(size)
	if err != nil {
		return Door{}, fmt.Errorf("%q is not a door: write its clear width, or width by height, as 34x80 in", text)
	}
	if d.WidthMm, err = believed(sides[0]-less, text, leastWayMm, mostWayMm); err != nil {
		return Door{}, err
	}
	if len(sides) == 2 {
		d.HeightMm, err = believed(sides[1], text, leastWayMm, mostWayMm)
	}
	return d, err
}

// parseTurn reads a corner or a landing: "landing 48 in", "hall 44x60 in". Of two
// sides the narrower counts.
func parseTurn(text string) (Turn, error) {
	name, size := named(strings.ToLower(text))
	sides, err := parseSides(size)
	if err != nil {
		return Turn{}, fmt.Errorf("%q is not a turn: write its clear width, as landing 48 in", text)
	}
	room, err := believed(slices.Min(sides), text, leastWayMm, mostWayMm)
	return Turn{name, room}, err
}

// parseSides reads one side or two, in millimetres; without a unit in inches.
func parseSides(text string) ([]float64, error) {
	if !byRE.MatchString(text) {
		mm, err := trade.ParseLength(text, trade.Inch)
		return []float64{mm}, err
	}
	r, err := trade.ParseRectangle(text)
	return []float64{r.GetWidthMm(), r.GetHeightMm()}, err
}

var slopeRE = regexp.MustCompile(`^1 ?(?::|in|to) ?(\d{1,3}(?:\.\d{1,3})?)$`)

// parseSlope reads "1:12" or "1 in 12".
func parseSlope(text string) (Slope, error) {
	if m := slopeRE.FindStringSubmatch(strings.ToLower(text)); m != nil {
		if run, err := strconv.ParseFloat(m[1], 64); err == nil && run >= 1 {
			return Slope{1, run}, nil
		}
	}
	return Slope{}, fmt.Errorf("%q is not a slope: write 1:12, or 1 in 12; none is steeper than 1:1", text)
}

var ratedRE = regexp.MustCompile(`^([\d,]+(?:\.\d+)?) ?(psf|lb/ft2|lb/sqft|kg/m2|kg/m²)$`)

// parseRated reads what a floor is rated for: "125 psf", "600 kg/m2".
func parseRated(text string) (float64, error) {
	m := ratedRE.FindStringSubmatch(strings.ToLower(text))
	if m != nil {
		v, err := strconv.ParseFloat(strings.ReplaceAll(m[1], ",", ""), 64)
		if !strings.HasPrefix(m[2], "kg") {
			v *= kgPerM2OfPsf
		}
		if err == nil && v > 0 && v <= 1e5 {
			return v, nil
		}
	}
	return 0, fmt.Errorf("%q is not a floor load: write it as 50 psf or 250 kg/m2", text)
}
