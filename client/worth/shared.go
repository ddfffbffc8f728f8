package worth

import "math"

// How much has to be recorded before the luck of a sale is estimated. Design
// choices.
const (
	fewestEvents  = 5
	fewestRecords = 15
)

// shared estimates how much things that were sold together have in common. Every
// record that names its sale is held against the like of other sales; what it
// fetched of that, as a logarithm, is analysed by sale.
func (in *Input) shared(sold []features) (rho float64, events, records int, ok bool) {
	number := map[string]int{}
	var groups [][]float64
	for i := range in.Sales {
		s := &in.Sales[i]
		if s.Event == "" || s.Lot.GetPricePaid().GetCurrencyCode() != in.Currency {
			continue
		}
		used, _ := in.compare(sold[i], sold, func(o *Sale) bool { return o.Event == s.Event })
		if len(used) < fewest {
			continue
		}
		if _, known := number[s.Event]; !known {
			number[s.Event] = len(groups)
			groups = append(groups, nil)
		}
		n := number[s.Event]
		groups[n] = append(groups[n], math.Log(in.now(s)/(*spreadOf(adjusted(used)).Median)))
	}
	var several [][]float64
	for _, g := range groups {
		if len(g) > 1 {
			several = append(several, g)
			records += len(g)
		}
	}
	events = len(several)
	if events < fewestEvents || records < fewestRecords {
		return 0, events, records, false
	}
	return min(max(Intraclass(several), 0), 1), events, records, true
}

// now is what was paid, adjusted for time alone.
func (in *Input) now(s *Sale) float64 {
	return float(s.Lot.GetPricePaid()) * in.forTime(s.Date).Factor
}

func adjusted(used []Comparable) []float64 {
	amounts := make([]float64, len(used))
	for i, c := range used {
		amounts[i] = c.Adjusted
	}
	return amounts
}

// Intraclass is the intraclass correlation of figures in groups: how much of their
// variance lies between the groups. It is the estimate of one-way analysis of
// variance, ICC(1,1) of Shrout and Fleiss (1979), for groups of unequal size with
// the mean size that goes with it:
//
//	(MSB - MSW) / (MSB + (n0 - 1) MSW)
//	n0 = (N - sum n² / N) / (groups - 1)
//
// It is at most 1, and may be negative. There must be two groups, and more
// figures than groups; where all are equal it is 0.
func Intraclass(groups [][]float64) float64 {
	var n, squares, sum float64
	for _, g := range groups {
		n += float64(len(g))
		squares += float64(len(g)) * float64(len(g))
		sum += total(g)
	}
	grand := sum / n
	var between, inside float64
	for _, g := range groups {
		mean := total(g) / float64(len(g))
		between += float64(len(g)) * (mean - grand) * (mean - grand)
		for _, v := range g {
			inside += (v - mean) * (v - mean)
		}
	}
	k := float64(len(groups))
	msb, msw := between/(k-1), inside/(n-k)
	n0 := (n - squares/n) / (k - 1)
	if under := msb + (n0-1)*msw; under > 0 {
		return (msb - msw) / under
	}
	return 0
}

func total(figures []float64) float64 {
	var sum float64
	for _, v := range figures {
		sum += v
	}
	return sum
}
