package search

import (
	"math"
	"strconv"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// mmPer are the units of length that are written in millimetres, so that 10 in
// and 254 mm meet.
var mmPer = map[string]float64{"inch": trade.MmPerInch, "foot": 12 * trade.MmPerInch, "mm": 1, "cm": 10}

// measureToken writes a measure as one token: lengths in whole millimetres, all
// others in their own unit.
func measureToken(n float64, unit string) string {
	if per := mmPer[unit]; per > 0 {
		return mmToken(n * per)
	}
	return writeNumber(n) + unit
}

func mmToken(mm float64) string { return strconv.FormatFloat(math.Round(mm), 'f', -1, 64) + "mm" }

// joinMeasures makes one token of a number and the unit after it, and of a body
// size that is named before its number: 24 pt and corps 24.
func (v *vocabulary) joinMeasures(tokens []token) []token {
	var joined []token
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		last := len(joined) - 1
		switch {
		case v.isMeasure(tokens, i):
			joined = append(joined, measured(t, tokens[i+1], v.units[tokens[i+1].text]))
			i++
		case t.number && last >= 0 && v.bodies[joined[last].text]:
			joined[last] = measured(t, joined[last], "point")
		case t.number && last > 0 && v.bodies[joined[last-1].text] && v.stops[joined[last].text]:
			joined = append(joined[:last-1], measured(t, joined[last-1], "point")) // corps de 24
		default:
			joined = append(joined, t)
		}
	}
	return joined
}

// measured makes one token of a number and of what says its unit, before or
// after it.
func measured(t, says token, unit string) token {
	n, _ := strconv.ParseFloat(t.text, 64)
	return token{
		text: cut(measureToken(n, unit), tokenLimit), size: true, gap: t.gap,
		from: min(t.from, says.from), to: max(t.to, says.to),
	}
}

// isMeasure tells whether a number is followed by its unit. The in of "KR15 in
// Toledo" and of "1950 in Toledo" is none.
func (v *vocabulary) isMeasure(tokens []token, i int) bool {
	if !tokens[i].number || i+1 == len(tokens) || v.units[tokens[i+1].text] == "" {
		return false
	}
	if tokens[i+1].text != "in" || together(tokens[i+1].gap) {
		return true
	}
	code := i > 0 && !tokens[i-1].number && together(tokens[i].gap)
	return !code && len(tokens[i].text) < 4
}

// numerals are the numbers that people write out before a unit.
var numerals = map[string]int{
	"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
	"eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
	"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}

// readNumerals reads numbers that are written out before a unit, or beside a
// by: ten inch, twenty-four point, half an inch, five by eight.
func (v *vocabulary) readNumerals(tokens []token) []token {
	var read []token
	for i := 0; i < len(tokens); {
		n, used := numeral(tokens[i:])
		if used > 0 && (v.beforeUnit(tokens[i+used:]) || beforeBy(tokens[i+used:]) || afterBy(read)) {
			read = append(read, token{text: n, number: true, gap: tokens[i].gap, from: tokens[i].from, to: tokens[i+used-1].to})
			i += used
			continue
		}
		read = append(read, tokens[i])
		i++
	}
	return read
}

// beforeUnit tells whether a unit comes next. After a number that is written
// out, in is none.
func (v *vocabulary) beforeUnit(next []token) bool {
	return len(next) > 0 && v.units[next[0].text] != "" && next[0].text != "in"
}

// beforeBy tells whether a by and another number come next.
func beforeBy(next []token) bool {
	return len(next) > 1 && isBy(next[0]) && (next[1].number || numerals[next[1].text] > 0)
}

// afterBy tells whether a number and a by came last.
func afterBy(read []token) bool {
	n := len(read)
	return n > 1 && isBy(read[n-1]) && read[n-2].number
}

func isBy(t token) bool { return t.text == "x" || t.text == "by" }

// numeral reads the number that tokens begin with, in figures, and how many
// tokens it takes.
func numeral(tokens []token) (figures string, used int) {
	if tokens[0].text == "half" || tokens[0].text == "quarter" {
		return partOf(tokens)
	}
	n := numerals[tokens[0].text]
	if n == 0 {
		return "", 0
	}
	if n >= 20 && len(tokens) > 1 {
		if ones := numerals[tokens[1].text]; 0 < ones && ones < 10 {
			return strconv.Itoa(n + ones), 2
		}
	}
	return strconv.Itoa(n), 1
}

// partOf reads half an inch and quarter inch.
func partOf(tokens []token) (figures string, used int) {
	figures, used = "0.5", 1
	if tokens[0].text == "quarter" {
		figures = "0.25"
	}
	if len(tokens) > 1 && (tokens[1].text == "a" || tokens[1].text == "an") {
		used = 2
	}
	return figures, used
}

// sizeToken writes the sides of a size, in millimetres, as one token in inches,
// the least side first. A side that is a quarter of an inch but for a
// millimetre is that, so that 254x381 mm and 10x15 meet.
func sizeToken(mm []float64) string {
	var sides []string
	for _, side := range sorted(mm) {
		inches := side / trade.MmPerInch
		quarter := math.Round(inches*4) / 4
		if math.Abs(inches-quarter)*trade.MmPerInch > quarterOffMm || quarter == 0 {
			quarter = math.Round(inches*10) / 10
		}
		sides = append(sides, writeNumber(quarter))
	}
	return strings.Join(sides, "x")
}

// quarterOffMm is how far a metric side may be off a quarter of an inch: what
// rounding to whole millimetres and a little more makes. A design choice.
const quarterOffMm = 1.3

// rectangleTokens writes what the sizes of a press would be searched by.
func rectangleTokens(rectangles ...*pb.Rectangle) []string {
	var tokens []string
	for _, r := range rectangles {
		if r != nil {
			tokens = append(tokens, sizeToken([]float64{r.GetWidthMm(), r.GetHeightMm()}))
		}
	}
	return tokens
}
