package worth

import (
	"fmt"
	"math"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Adjustment is one step from what was paid to what that would be for this lot.
type Adjustment struct {
	// What is adjusted for: "size".
	What string `json:"what"`
	// Factor is what the price is multiplied by; 1 where nothing is adjusted.
	Factor float64 `json:"factor"`
	// Ground says why, in plain words.
	Ground string `json:"ground"`
	// Choice is true where the factor is a design choice without a source.
	Choice bool `json:"designChoice"`
}

// adjust lists the steps from a sale to a lot, all of them, whether they change
// anything or not.
func (in *Input) adjust(lot, sold features, s *Sale) []Adjustment {
	return []Adjustment{
		in.forTime(s.Date),
		forAmount(lot, sold),
		forNumber(lot, sold),
		forCondition(lot.lot.GetCondition(), sold.lot.GetCondition()),
		forCompleteness(lot.complete, sold.complete),
		{What: "distance", Factor: 1, Ground: "nearer sales are taken first"},
	}
}

// forTime takes the price forward by the rate that the user gives: the price then
// times (1 + rate) for every year.
func (in *Input) forTime(date *pb.Date) Adjustment {
	a := Adjustment{What: "time", Factor: 1}
	switch {
	case date == nil:
		a.Ground = "the day of the sale is not known"
	case in.Yearly == nil:
		a.Ground = fmt.Sprintf("sold %s; no rate by the year was given", trade.FormatDate(date))
	default:
		y := max(years(date, in.Today), 0)
		a.Factor = math.Pow(1+*in.Yearly, y)
		a.Ground = fmt.Sprintf("sold %s, %.1f years ago, at the %.1f percent a year that you gave", trade.FormatDate(date), y, 100**in.Yearly)
	}
	return a
}

// sixTenths is the exponent by which the price of a machine follows its size: the
// six-tenths rule of cost estimating (Williams, "Six-tenths factor aids in
// approximating costs", 1947, title seen quoted; twice the capacity costs 1.516
// times as much). It is of the cost of new plant; that it holds for old presses is
// a design choice.
const sixTenths = 0.6

// forAmount goes by size, cases or weight. Type and other goods by weight are
// adjusted in proportion, machines by the six-tenths rule.
func forAmount(lot, sold features) Adjustment {
	a := Adjustment{What: lot.measure, Factor: 1, Choice: true}
	if lot.amount == 0 || sold.amount == 0 {
		a.Ground, a.Choice = "not known of both", false
		return a
	}
	ratio := lot.amount / sold.amount
	switch lot.kind {
	case pb.Kind_KIND_PRESS, pb.Kind_KIND_CUTTERS, pb.Kind_KIND_STONES:
		a.Factor = math.Pow(ratio, sixTenths)
		a.Ground = fmt.Sprintf("%.2f times the area, by the six-tenths rule of cost estimating", ratio)
	default:
		a.Factor = ratio
		a.Ground = fmt.Sprintf("%.2f times as much, in proportion", ratio)
	}
	return a
}

// forNumber is for lots of several; goods by weight have been adjusted already.
func forNumber(lot, sold features) Adjustment {
	a := Adjustment{What: "number", Factor: 1}
	switch {
	case lot.measure == "weight" && lot.amount > 0 && sold.amount > 0:
		a.Ground = "it goes by weight"
	case lot.count == sold.count:
		a.Ground = "as many"
	default:
		a.Factor, a.Choice = lot.count/sold.count, true
		a.Ground = fmt.Sprintf("%.0f against %.0f, in proportion", lot.count, sold.count)
	}
	return a
}

// soundness is what a thing fetches in each condition, of what it fetches in
// work. A design choice: nobody has published such figures for this trade.
var soundness = map[pb.Condition]float64{
	pb.Condition_CONDITION_WORKING: 1, pb.Condition_CONDITION_NEEDS_CARE: 0.8,
	pb.Condition_CONDITION_NEEDS_REPAIR: 0.5, pb.Condition_CONDITION_FOR_PARTS: 0.25,
}

func forCondition(lot, sold pb.Condition) Adjustment {
	a := Adjustment{What: "condition", Factor: 1}
	switch {
	case soundness[lot] == 0 || soundness[sold] == 0:
		a.Ground = "not known of both"
	case lot == sold:
		a.Ground = "both " + trade.ConditionWord(lot)
	default:
		a.Factor, a.Choice = soundness[lot]/soundness[sold], true
		a.Ground = fmt.Sprintf("%s (%.2f of one in work) against %s (%.2f)", trade.ConditionWord(lot), soundness[lot], trade.ConditionWord(sold), soundness[sold])
	}
	return a
}

// bareShare is what a thing would fetch of which hardly a part is left, of what it
// fetches whole; between the two in proportion. A design choice.
const bareShare = 0.4

func forCompleteness(lot, sold float64) Adjustment {
	a := Adjustment{What: "completeness", Factor: 1}
	switch {
	case lot < 0 || sold < 0:
		a.Ground = "not known well enough of both"
	case math.Abs(lot-sold) < 0.005:
		a.Ground = "as complete"
	default:
		worth := func(share float64) float64 { return bareShare + (1-bareShare)*share }
		a.Factor, a.Choice = worth(lot)/worth(sold), true
		a.Ground = fmt.Sprintf("%.0f percent there against %.0f percent", 100*lot, 100*sold)
	}
	return a
}
