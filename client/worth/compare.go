package worth

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

// Comparable is a sale of the like, with how it was adjusted.
type Comparable struct {
	// Title is what was sold, Date when and Town where; Source is where that is
	// recorded.
	Title  string   `json:"title"`
	Date   *pb.Date `json:"-"`
	Town   string   `json:"town,omitempty"`
	Source string   `json:"source"`
	// Paid is what was paid.
	Paid Money `json:"paid"`
	// AwayKm is how far away that was by road; negative where it is not known, or
	// there is no road. It is not adjusted for: nearer sales are taken first.
	AwayKm float64 `json:"awayKm"`
	// Adjustments are all steps, and Adjusted what the sale comes to for this lot,
	// in units of the currency.
	Adjustments []Adjustment `json:"adjustments"`
	Adjusted    float64      `json:"adjusted"`

	sale int     // its number
	off  float64 // how unlike it is
}

// What makes a sale comparable. Design choices.
const (
	// mostSales is how many sales are used: those most like it.
	mostSales = 12
	// oldestYears is how long ago a sale may lie if nobody says otherwise.
	oldestYears = 15
	// mostTimes is how many times as large one may be as the other.
	mostTimes = 3
	// mostBody is the same of the body of type: a 12 point fount is no 24 point.
	mostBody = 1.5
	// mostFactor is how far a price may be adjusted in all, time apart: beyond it
	// the two are not alike.
	mostFactor = 2.5
)

// compare chooses the sales that a lot is held against, the most like it first,
// and counts those of its kind that were passed over, by why.
func (in *Input) compare(lot features, sold []features, but func(*Sale) bool) (used []Comparable, passed map[string]int) {
	passed = map[string]int{}
	for i := range in.Sales {
		s := &in.Sales[i]
		if sold[i].kind != lot.kind || s.Lot == lot.lot || but(s) {
			continue
		}
		if why := in.unfit(lot, sold[i], s); why != "" {
			passed[why]++
			continue
		}
		c := in.comparable(lot, sold[i], s)
		if c.sale = i; !within(c.Adjusted/timeFactor(c), float(s.Lot.GetPricePaid()), mostFactor) {
			passed[fmt.Sprintf("would have to be adjusted by more than %.1f times", mostFactor)]++
			continue
		}
		used = append(used, c)
	}
	slices.SortStableFunc(used, func(a, b Comparable) int { return cmp.Compare(a.off, b.off) })
	if n := len(used) - mostSales; n > 0 {
		passed[fmt.Sprintf("less alike than the %d used", mostSales)] += n
		used = used[:mostSales]
	}
	return used, passed
}

// timeFactor is what a price was adjusted by for time.
func timeFactor(c Comparable) float64 { return c.Adjustments[0].Factor }

// unfit is why a sale of the same kind is not held against a lot.
func (in *Input) unfit(lot, sold features, s *Sale) string {
	switch {
	case s.Lot.GetPricePaid().GetCurrencyCode() != in.Currency:
		return "in " + s.Lot.GetPricePaid().GetCurrencyCode() + ", and currencies are not mixed"
	case s.Date != nil && years(s.Date, in.Today) < 0:
		return "after the day of this report"
	case s.Date != nil && years(s.Date, in.Today) > in.oldest():
		return fmt.Sprintf("more than %.0f years ago", in.oldest())
	case lot.class != sold.class:
		return "of another build, or one that nobody has said"
	case lot.class == 0 && lot.kind == pb.Kind_KIND_PRESS:
		return "presses, and the build of this one is not said"
	case lot.class == 0 && unlike[lot.kind] && !share(lot.words, sold.words):
		return "of the same kind but another thing, by its title"
	case lot.body > 0 && sold.body > 0 && !within(lot.body, sold.body, mostBody):
		return "of another size of type"
	case lot.amount > 0 && sold.amount > 0 && !within(lot.amount, sold.amount, mostTimes):
		return fmt.Sprintf("more than %d times as large or as small", mostTimes)
	}
	return ""
}

func (in *Input) oldest() float64 {
	if in.OldestYears > 0 {
		return in.OldestYears
	}
	return oldestYears
}

func (in *Input) comparable(lot, sold features, s *Sale) Comparable {
	c := Comparable{
		Title: s.Lot.GetTitle(), Date: s.Date, Town: s.Lot.GetTown().GetLabel(), Source: s.Source, Paid: Money{s.Lot.GetPricePaid()},
		AwayKm: away(lot, sold), Adjustments: in.adjust(lot, sold, s), Adjusted: float(s.Lot.GetPricePaid()),
	}
	for _, a := range c.Adjustments {
		c.Adjusted *= a.Factor
	}
	c.off = unlikeness(lot, sold, c, in.age(s))
	return c
}

// age is how many years ago a sale was; as old as any where it is not known.
func (in *Input) age(s *Sale) float64 {
	if s.Date == nil {
		return in.oldest()
	}
	return years(s.Date, in.Today)
}

// How unlike a sale is, for the order they are taken in: what was adjusted, what
// is not known, its age and its distance. Design choices: a fact that is not known
// counts as a tenth, ten years as much as 1,000 km, and so does a way that is not
// known.
const (
	unknownOff = 0.1
	yearOff    = 0.02
	kmOff      = 0.0002
	kmUnknown  = 1000
)

func unlikeness(lot, sold features, c Comparable, age float64) float64 {
	off := yearOff * age
	for _, a := range c.Adjustments[1:] {
		off += math.Abs(math.Log(a.Factor))
	}
	if lot.amount == 0 || sold.amount == 0 {
		off += unknownOff
	}
	if lot.complete < 0 || sold.complete < 0 {
		off += unknownOff
	}
	if lot.lot.GetCondition() == 0 || sold.lot.GetCondition() == 0 {
		off += unknownOff
	}
	if c.AwayKm < 0 {
		return off + kmOff*kmUnknown
	}
	return off + kmOff*c.AwayKm
}
