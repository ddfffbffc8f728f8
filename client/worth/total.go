package worth

import (
	"fmt"
	"math"
)

// Total is what several lots may fetch together, in units of the currency.
//
// The middle is the sum of the medians. How far it may lie below or above, goes by
// how far each lot's own range does: d is from a lot's median down to its first
// quartile (or its lowest sale, where there are too few for quartiles), and
//
//	below = sqrt( sum over all pairs i, j of r(i,j) d(i) d(j) )
//
// and the same upwards. r is how much two lots have in common. Were it 0 between
// any two, the ranges would shrink against the sum as the root of their number;
// were it 1, they would simply add up. Both are told, and neither is true:
//
//	r(i,j) = rho + (1 - rho) c(i,j)
//
// where c is the share of comparable sales that two lots have in common (their
// number over the root of the product of how many each has), since lots that are
// held against the same sales are wrong together; and rho is what all lots of one
// shop share, its buyers, its deadline and its day. Rho is estimated from the sale
// records, where they say what was sold together, and is a design choice of 1/2
// where they do not.
type Total struct {
	// Lots is how many it is of, and Silent how many there are too few sales of.
	Lots   int `json:"lots"`
	Silent int `json:"silent"`
	// Middle, Low and High are the total and its range.
	Middle float64 `json:"middle"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	// ApartLow and ApartHigh are the range if the lots had nothing to do with one
	// another, TogetherLow and TogetherHigh if they rose and fell as one.
	ApartLow     float64 `json:"apartLow"`
	ApartHigh    float64 `json:"apartHigh"`
	TogetherLow  float64 `json:"togetherLow"`
	TogetherHigh float64 `json:"togetherHigh"`
	// Shared is rho, and Ground says how it is known.
	Shared float64 `json:"shared"`
	Ground string  `json:"ground"`
}

// usualShared is rho where nothing is recorded to estimate it by: half way
// between the two extremes. A design choice.
const usualShared = 0.5

func (in *Input) total(lots []Lot, sold []features) Total {
	t := Total{Shared: usualShared, Ground: "a design choice: the records do not say of enough sales what was sold together"}
	if rho, events, n, ok := in.shared(sold); ok {
		t.Shared, t.Ground = rho, fmt.Sprintf("estimated from %d records of %d sales (the intraclass correlation of one-way analysis of variance)", n, events)
	}
	var told []*Lot
	for i := range lots {
		if lots[i].Spread.Median == nil {
			t.Silent++
			continue
		}
		told = append(told, &lots[i])
		t.Middle += *lots[i].Spread.Median
	}
	t.Lots = len(told)
	below := func(l *Lot) float64 { return *l.Spread.Median - l.Spread.from() }
	above := func(l *Lot) float64 { return l.Spread.to() - *l.Spread.Median }
	common := func(a, b *Lot) float64 { return t.Shared + (1-t.Shared)*inCommon(a, b) }
	apart := func(a, b *Lot) float64 { return 0 }
	together := func(a, b *Lot) float64 { return 1 }
	t.Low, t.High = t.Middle-reach(told, below, common), t.Middle+reach(told, above, common)
	t.ApartLow, t.ApartHigh = t.Middle-reach(told, below, apart), t.Middle+reach(told, above, apart)
	t.TogetherLow, t.TogetherHigh = t.Middle-reach(told, below, together), t.Middle+reach(told, above, together)
	return t
}

// from and to are the range that a lot has: its quartiles, or its lowest and
// highest sale.
func (s Spread) from() float64 {
	if s.Q1 != nil {
		return *s.Q1
	}
	return *s.Low
}

func (s Spread) to() float64 {
	if s.Q3 != nil {
		return *s.Q3
	}
	return *s.High
}

// reach is the root of the sum over all pairs; a lot has all in common with
// itself.
func reach(lots []*Lot, of func(*Lot) float64, common func(a, b *Lot) float64) float64 {
	var sum float64
	for i, a := range lots {
		sum += of(a) * of(a)
		for _, b := range lots[:i] {
			sum += 2 * common(a, b) * of(a) * of(b)
		}
	}
	return math.Sqrt(sum)
}

// inCommon is the share of comparable sales that two lots have in common.
func inCommon(a, b *Lot) float64 {
	var n float64
	for _, x := range a.Comparables {
		for _, y := range b.Comparables {
			if x.sale == y.sale {
				n++
			}
		}
	}
	return n / math.Sqrt(float64(len(a.Comparables))*float64(len(b.Comparables)))
}
