package rehome

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/score"
	"heirpress/search/trade"
)

// Plan is a proposal of who should get what.
type Plan struct {
	// Lots and Lists are how many were looked at.
	Lots, Lists int
	// Homes are the seekers that something is proposed for, most points first.
	Homes []Home
	// Left are the lots without a home, in the order of the input.
	Left []Left
	// Points are the plan's, Greedy those of taking the best pair first, and Bound
	// what no plan under the same wishes exceeds.
	Points, Greedy, Bound int64
	// HomePoints is what a home counts.
	HomePoints int64
	// Whole is true where the shop goes to one home in one piece.
	Whole bool
	// Alternatives are what other wishes would come to.
	Alternatives []Alternative
}

// Proven tells whether it is proven that no plan comes to more.
func (p *Plan) Proven() bool { return p.Bound <= p.Points }

// Placed is how many lots find a home.
func (p *Plan) Placed() int {
	n := 0
	for _, h := range p.Homes {
		n += len(h.Given)
	}
	return n
}

// Home is a seeker with what is proposed for them.
type Home struct {
	List *pb.WantedList
	// Given are the lots, in the order of the input.
	Given []Given
	// Points are what they add to the plan.
	Points int64
	// LowKg and HighKg are what they weigh together; lots whose weight nobody
	// knows are in neither.
	LowKg, HighKg float64
	// Trips is how often the seeker's vehicle has to go; 0 where its payload is
	// not known.
	Trips int
	// Prices are what is asked for them, one amount for each currency.
	Prices []*pb.Money
	// Road is the way; nil if it is not known.
	Road *place.Road
	// Preferred is true where the keeper would rather give there.
	Preferred bool
	// Ask is what to settle with them before anything is promised.
	Ask []string
}

// Given is a lot with its proposed home.
type Given struct {
	Lot *pb.Lot
	// Want is what it meets; nil for a lot that was not asked for.
	Want *pb.Want
	// Fit is how well; nil for a lot that was not asked for.
	Fit *pb.Fit
	// Why are the reasons, in words for a family.
	Why []string
}

// Make draws up the plan. more gives a new limit for each solution that is looked
// for: the plan's own first, then those of the alternatives. The error is a
// *WishError.
func Make(in Input, more func() Stop) (*Plan, error) {
	d, err := newDraft(&in)
	if err != nil {
		return nil, err
	}
	wholes, err := d.wholes()
	if err != nil {
		return nil, err
	}
	c := d.choose(wholes, more())
	p := &Plan{Lots: len(in.Lots), Lists: len(in.Lists), HomePoints: d.home, Points: c.points, Greedy: c.greedy, Bound: c.bound, Whole: c.whole != nil}
	p.Homes = d.homes(c.options())
	p.Left = d.left(p)
	p.Alternatives, err = d.alternatives(c, wholes, more)
	return p, err
}

// choice is the better of the best split and the best whole.
type choice struct {
	points, bound, greedy, plain int64
	whole                        *placing // nil: it is split
	split                        []placing
}

// placing is an option taken.
type placing struct {
	seeker     int
	lots       []int
	candidates []*Candidate
	points     int64
	plain      int64
}

func (c choice) options() []placing {
	if c.whole != nil {
		return []placing{*c.whole}
	}
	return c.split
}

func (d *draft) choose(wholes []placing, stop Stop) choice {
	var c choice
	if d.in.Wishes.Whole != WholeOnly {
		c = d.splitUp(stop)
	}
	for i, w := range wholes {
		c.bound, c.greedy = max(c.bound, w.points), max(c.greedy, w.points)
		if w.points > c.points {
			c.whole, c.points, c.plain = &wholes[i], w.points, w.plain
		}
	}
	return c
}

func (d *draft) splitUp(stop Stop) choice {
	a, plain := d.solve(stop)
	c := choice{points: a.points, bound: a.bound, greedy: a.greedy, plain: plain}
	for _, i := range a.chosen {
		o := &d.problem.options[i]
		c.split = append(c.split, placing{o.seeker, o.lots, d.deals[i].candidates, o.points, o.points - d.deals[i].extra})
	}
	return c
}

// homes gathers what was chosen by seeker.
func (d *draft) homes(chosen []placing) []Home {
	bySeeker := map[int]*Home{}
	var all []*Home
	for _, p := range chosen {
		h := bySeeker[p.seeker]
		if h == nil {
			s := d.seekers[p.seeker]
			h = &Home{List: s.list, Road: s.road, Preferred: s.prefer > 0}
			bySeeker[p.seeker] = h
			all = append(all, h)
		}
		h.Points += p.points
		for i, l := range p.lots {
			h.Given = append(h.Given, d.given(p, i, l))
		}
	}
	homes := make([]Home, len(all))
	for i, h := range all {
		d.sum(h)
		homes[i] = *h
	}
	slices.SortStableFunc(homes, func(a, b Home) int {
		return cmp.Or(cmp.Compare(b.Points, a.Points), cmp.Compare(a.List.GetTitle(), b.List.GetTitle()))
	})
	return homes
}

func (d *draft) given(p placing, i, l int) Given {
	g := Given{Lot: d.in.Lots[l]}
	if c := p.candidates[i]; c != nil {
		g.Want = c.Want
		g.Fit = score.Lot(c.List, c.Want, c.Lot, c.Road)
	}
	g.Why = d.why(p, i, l)
	return g
}

func (d *draft) sum(h *Home) {
	slices.SortFunc(h.Given, func(a, b Given) int { return cmp.Compare(d.lot[keyOf(a.Lot)], d.lot[keyOf(b.Lot)]) })
	prices := map[string]*pb.Money{}
	var currencies []string
	for _, g := range h.Given {
		if e := trade.WeightOf(g.Lot); e.Known {
			h.LowKg, h.HighKg = h.LowKg+e.LowKg, h.HighKg+e.HighKg
		}
		if m := g.Lot.GetPrice(); m != nil {
			if prices[m.GetCurrencyCode()] == nil {
				prices[m.GetCurrencyCode()] = &pb.Money{CurrencyCode: m.GetCurrencyCode()}
				currencies = append(currencies, m.GetCurrencyCode())
			}
			addMoney(prices[m.GetCurrencyCode()], m)
		}
	}
	slices.Sort(currencies)
	for _, c := range currencies {
		h.Prices = append(h.Prices, prices[c])
	}
	if payload := kitPayload(h.List); payload != nil && *payload > 0 {
		h.Trips = int(math.Ceil(h.HighKg / *payload))
	}
	h.Ask = asks(h)
}

func addMoney(to, m *pb.Money) {
	nanos := int64(to.GetNanos()) + int64(m.GetNanos())
	to.Units += m.GetUnits() + nanos/1e9
	to.Nanos = int32(nanos % 1e9)
}

// keyOf tells lots apart.
func keyOf(l *pb.Lot) string { return fmt.Sprintf("%s\n%s", l.GetName(), trade.FoldTag(l.GetTag())) }
