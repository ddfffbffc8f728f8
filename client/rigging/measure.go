package rigging

import (
	"math"
	"strings"

	"heirpress/search/trade"
)

// roundTo rounds v to a whole number of steps.
func roundTo(v, step float64) float64 { return math.Round(v/step) * step }

// sentence joins words as a person does: "a, b and c".
func sentence(words []string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}

// floorTo rounds a mass down to a whole pound or kilogram.
func floorTo(kg float64, u trade.Units) float64 {
	unit := 1.0
	if u == trade.US {
		unit = trade.KgPerPound
	}
	return math.Floor(kg/unit*(1+hair)) * unit
}
