package rehome

import (
	"fmt"
	"math"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/score"
	"heirpress/search/trade"
)

func handles(s *seeker, c *Candidate) trade.Answer { return score.Handles(s.list.GetKit(), c.Lot) }

// firstDay is the earliest clear-by day of the lots; nil if none has one.
func (d *draft) firstDay() *pb.Date {
	var first *pb.Date
	for _, l := range d.in.Lots {
		if day := l.GetClearBy(); day != nil && (first == nil || daysBetween(day, first) > 0) {
			first = day
		}
	}
	return first
}

// budgetSaid tells whether the keeper was told what a seeker can spend in all:
// a purse is for one lot, and says nothing of a whole shop.
func (d *draft) budgetSaid(s int) bool {
	t := tableOf(d.in)
	for _, l := range d.in.Wishes.Limits {
		if i, err := t.list("", l.List); err == nil && i == s && l.Budget != nil {
			return true
		}
	}
	return false
}

// why is the reasons for giving a lot to a seeker.
func (d *draft) why(p placing, i, l int) []string {
	c := p.candidates[i]
	if c == nil {
		return []string{"they did not ask for it: it goes with the rest, if they will have it"}
	}
	why := []string{fmt.Sprintf("they look for %q", c.Want.GetTitle()), d.rank(l, p.seeker, c)}
	if len(p.lots) > 1 && len(p.lots) < len(d.in.Lots) {
		why = append(why, "it stays together with what you wished it to")
	}
	if d.seekers[p.seeker].prefer > 0 {
		why = append(why, "you would rather give to them")
	}
	return why
}

// rank says how a home compares with the others that ask for a lot.
func (d *draft) rank(l, s int, c *Candidate) string {
	others, better := 0, 0
	for other := range d.seekers {
		b := d.best[[2]int{l, other}]
		if other == s || b == nil {
			continue
		}
		if others++; math.Round(b.Fit.GetScore()) > math.Round(c.Fit.GetScore()) {
			better++
		}
	}
	switch {
	case others == 0:
		return "nobody else here asks for it"
	case better == 0:
		return fmt.Sprintf("it fits no other of the %d that ask for it better", others+1)
	}
	return fmt.Sprintf("it would fit %d of the %d others that ask for it better, and all in all this way more is gained", better, others)
}

// asks are what to settle with a seeker first.
func asks(h *Home) []string {
	var all []string
	priced := map[string]bool{}
	var unpriced, unasked int
	for _, g := range h.Given {
		switch m := g.Lot.GetPrice(); {
		case m == nil:
			unpriced++
		default:
			priced[m.GetCurrencyCode()] = true
		}
		if g.Want == nil {
			unasked++
		}
		if handles(&seeker{list: h.List}, &Candidate{Lot: g.Lot}) == trade.No {
			all = append(all, fmt.Sprintf("%s is more than their kit moves: who pays for riggers?", g.Lot.GetTag()))
		}
	}
	if unasked > 0 {
		all = append(all, fmt.Sprintf("will they have the %s that they did not ask for?", trade.FormatCount(unasked, "lot")))
	}
	if unpriced > 0 {
		all = append(all, fmt.Sprintf("no price is said for %s: agree on it", trade.FormatCount(unpriced, "lot")))
	}
	if purse := h.List.GetPurse().GetCurrencyCode(); purse != "" {
		for _, m := range h.Prices {
			if c := m.GetCurrencyCode(); c != purse {
				all = append(all, fmt.Sprintf("some of it is priced in %s and their purse is in %s: agree on the money", c, purse))
			}
		}
	}
	return append(all, h.fetchAsks()...)
}

func (h *Home) fetchAsks() []string {
	switch {
	case kitPayload(h.List) == nil:
		return []string{"what vehicle will they come with, and what does it carry?"}
	case h.Trips > 1:
		return []string{fmt.Sprintf("it takes %d trips with their vehicle: will they come as often?", h.Trips)}
	}
	return nil
}
