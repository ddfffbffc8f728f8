package worth

import (
	"math"
	"slices"
)

// Spread is how a lot's comparable sales lie. Amounts are in units of the
// report's currency.
type Spread struct {
	// Sales is how many there are.
	Sales int `json:"sales"`
	// Median, Low and High are nil with fewer than three sales, and Q1 and Q3 with
	// fewer than six.
	Median *float64 `json:"median,omitempty"`
	Low    *float64 `json:"low,omitempty"`
	High   *float64 `json:"high,omitempty"`
	Q1     *float64 `json:"q1,omitempty"`
	Q3     *float64 `json:"q3,omitempty"`
	// Holds is the chance that the lowest and the highest have the median of all
	// such sales between them, if these are a fair sample of them: 1 - 2(1/2)^n.
	Holds float64 `json:"holds,omitempty"`
}

// How many sales are enough. Common practice.
const (
	fewest       = 3
	fewQuartiles = 6
)

func spreadOf(amounts []float64) Spread {
	s := Spread{Sales: len(amounts)}
	if len(amounts) < fewest {
		return s
	}
	sorted := slices.Sorted(slices.Values(amounts))
	at := func(p float64) *float64 { return new(Quantile(sorted, p)) }
	s.Median, s.Low, s.High = at(0.5), at(0), at(1)
	s.Holds = 1 - 2*math.Pow(0.5, float64(len(sorted)))
	if len(sorted) >= fewQuartiles {
		s.Q1, s.Q3 = at(0.25), at(0.75)
	}
	return s
}

// Quantile is a quantile of sorted figures by the definition that Hyndman and Fan
// (1996) number 7, the usual one of R and of spreadsheets' inclusive quartiles: it
// lies (n-1)p places above the least, and between two figures in proportion. p is
// in [0, 1], and there must be a figure at least.
func Quantile(sorted []float64, p float64) float64 {
	at := float64(len(sorted)-1) * p
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
