package search

import (
	"math"
	"strconv"
	"strings"
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
			continue
		}
		joined = append(joined, t)
	}
	return joined
}

func isWhole(t token) bool { return t.number && !strings.Contains(t.text, ".") }

// joinSizes makes one token of a size, whichever side is named first and
// however it is written: 10x15, 15 × 10 and 10" by 15" all become 10x15.
func joinSizes(tokens []token, units map[string]string) []token {
	var joined []token
	for i := 0; i < len(tokens); {
		sides, used := readSides(tokens[i:], units)
		if len(sides) < 2 {
			joined = append(joined, tokens[i])
			i++
			continue
		}
		joined = append(joined, token{text: cut(writeSides(sides), tokenLimit), size: true, gap: tokens[i].gap})
		i += used
	}
	return joined
}

// readSides reads a size of two or three sides that tokens begin with. The unit
// after the last side is left for the caller.
func readSides(tokens []token, units map[string]string) (sides []string, used int) {
	for i := 0; i < len(tokens) && tokens[i].number && len(sides) < 3; {
		sides, used = append(sides, tokens[i].text), i+1
		next := i + 1
		if next < len(tokens) && units[tokens[next].text] != "" {
			next++
		}
		if next >= len(tokens) || (tokens[next].text != "x" && tokens[next].text != "by") {
			break
		}
		i = next + 1
	}
	return sides, used
}

// writeSides writes a size with its least side first, as sides may be turned.
func writeSides(sides []string) string {
	value := func(i int) float64 {
		n, _ := strconv.ParseFloat(sides[i], 64)
		return n
	}
	for i := 1; i < len(sides); i++ {
		for j := i; j > 0 && value(j) < value(j-1); j-- {
			sides[j], sides[j-1] = sides[j-1], sides[j]
		}
	}
	return strings.Join(sides, "x")
}
