package search

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"heirpress/search/trade"
)

// scanFraction reads a proper fraction that text begins with, as 1/2, given the
// digits before the stroke. A day such as 1/2/1950 is not one.
func scanFraction(text, above string) (size int, decimal string) {
	rest, ok := strings.CutPrefix(text[len(above):], "/")
	if !ok {
		return 0, ""
	}
	below := digits(rest)
	if len(above) > 2 || len(below) > 2 || strings.HasPrefix(rest[len(below):], "/") {
		return 0, ""
	}
	n, _ := strconv.Atoi(above)
	d, _ := strconv.Atoi(below)
	if n == 0 || n >= d {
		return 0, ""
	}
	return len(above) + 1 + len(below), writeNumber(float64(n) / float64(d))
}

// writeNumber writes a number as the tokens have it: to four places, without
// idle zeros.
func writeNumber(n float64) string {
	return strconv.FormatFloat(math.Round(n*1e4)/1e4, 'f', -1, 64)
}

// joinFractions makes one number of a whole number and the fraction after it:
// 6 1/2 and 6-1/2 become 6.5.
func joinFractions(tokens []token) []token {
	joined := tokens[:0]
	for _, t := range tokens {
		last := len(joined) - 1
		if last >= 0 && isWhole(joined[last]) && t.fraction && (t.gap == "-" || strings.Trim(t.gap, " ") == "") {
			joined[last].text += strings.TrimPrefix(t.text, "0")
			joined[last].to = t.to
			continue
		}
		joined = append(joined, t)
	}
	return joined
}

func isWhole(t token) bool { return t.number && !strings.Contains(t.text, ".") }

// joinSizes makes one token of a size, whichever side is named first and
// however it is written: 10x15, 15 × 10, 10" by 15" and 254x381 mm all become
// 10x15. Without a unit, sides are in inches, unless they are too long for that.
func joinSizes(tokens []token, units map[string]string) []token {
	var joined []token
	for i := 0; i < len(tokens); {
		sides, unit, used := readSides(tokens[i:], units)
		if len(sides) < 2 {
			joined = append(joined, tokens[i])
			i++
			continue
		}
		per := mmPer[unit]
		if per == 0 {
			per = barePer(sides)
		}
		for s := range sides {
			sides[s] *= per
		}
		joined = append(joined, token{text: cut(sizeToken(sides), tokenLimit), size: true, gap: tokens[i].gap, from: tokens[i].from, to: tokens[i+used-1].to})
		i += used
	}
	return joined
}

// longestBareInch is where sides without a unit can hardly be inches any more,
// as package trade has it.
const longestBareInch = 100

func barePer(sides []float64) float64 {
	if slices.Max(sides) > longestBareInch {
		return 1
	}
	return trade.MmPerInch
}

// readSides reads a size of two or three sides that tokens begin with, with the
// last unit of length that is named.
func readSides(tokens []token, units map[string]string) (sides []float64, unit string, used int) {
	for i := 0; i < len(tokens) && tokens[i].number && len(sides) < 3; {
		n, _ := strconv.ParseFloat(tokens[i].text, 64)
		sides, used = append(sides, n), i+1
		next := i + 1
		if next < len(tokens) && mmPer[units[tokens[next].text]] > 0 && (tokens[next].text != "in" || tokens[next].gap == "" || len(sides) > 1) {
			unit = units[tokens[next].text]
			next++
			used = next
		}
		if next >= len(tokens) || !isBy(tokens[next]) {
			break
		}
		i = next + 1
	}
	return sides, unit, used
}
