package rehome

import (
	"fmt"
	"slices"

	"heirpress/search/trade"
)

// Alternative is what other wishes would come to.
type Alternative struct {
	// Text says it in a line.
	Text string `json:"text"`
	// Cost is by how many points the wish makes the plan poorer, not counting what
	// the wish itself is worth. It is exact where both plans are proven.
	Cost int64 `json:"cost"`
	// Exact is true where both are.
	Exact bool `json:"exact"`
}

// alternatives takes the wishes away one by one.
func (d *draft) alternatives(c choice, wholes []placing, more func() Stop) ([]Alternative, error) {
	all := d.wholeAlternatives(c, wholes, more)
	type without struct {
		what   string
		wishes Wishes
	}
	var others []without
	w := d.in.Wishes
	for i, g := range d.groups {
		less := w
		less.Together = slices.Delete(slices.Clone(w.Together), i, i+1)
		others = append(others, without{"keeping " + g.words + " together", less})
	}
	if len(w.Prefer) > 0 {
		less := w
		less.Prefer = nil
		others = append(others, without{"giving rather to those you prefer", less})
	}
	if w.OwnKitOnly {
		less := w
		less.OwnKitOnly = false
		others = append(others, without{"wishing for no hired help", less})
	}
	if w.LeastFit > 0 {
		less := w
		less.LeastFit = 0
		others = append(others, without{fmt.Sprintf("wishing for a fit of at least %.0f", w.LeastFit), less})
	}
	for _, o := range others {
		a, err := d.otherwise(c, o.what, o.wishes, more())
		if err != nil {
			return nil, err
		}
		all = append(all, a)
	}
	return all, nil
}

// otherwise solves the same with other wishes.
func (d *draft) otherwise(c choice, what string, wishes Wishes, stop Stop) (Alternative, error) {
	in := *d.in
	in.Wishes = wishes
	other, err := newDraft(&in)
	if err != nil {
		return Alternative{}, err
	}
	wholes, err := other.wholes()
	if err != nil {
		return Alternative{}, err
	}
	o := other.choose(wholes, stop)
	a := Alternative{Cost: o.plain - c.plain, Exact: o.bound == o.points && c.bound == c.points}
	switch {
	case a.Cost > 0:
		a.Text = fmt.Sprintf("%s costs %s", what, trade.FormatCount(int(a.Cost), "point"))
	case a.Cost == 0:
		a.Text = what + " costs nothing"
	default:
		a.Text = fmt.Sprintf("%s gains %s", what, trade.FormatCount(int(-a.Cost), "point"))
	}
	return a, nil
}

// wholeAlternatives hold the whole against the split.
func (d *draft) wholeAlternatives(c choice, wholes []placing, more func() Stop) []Alternative {
	var all []Alternative
	if c.whole != nil && len(d.in.Lots) > 0 {
		s := d.splitUp(more())
		all = append(all, Alternative{
			Text: fmt.Sprintf("split up, it would come to %d points instead of %d, and %s would find a home", s.plain, c.plain, trade.FormatCount(placedIn(s.split), "lot")),
			Cost: s.plain - c.plain, Exact: s.bound == s.points,
		})
	}
	for _, w := range wholes {
		if c.whole == nil || c.whole.seeker != w.seeker {
			all = append(all, Alternative{
				Text: fmt.Sprintf("all of it to %s would come to %d points instead of %d", d.seekers[w.seeker].list.GetTitle(), w.plain, c.plain),
				Cost: w.plain - c.plain, Exact: true,
			})
		}
	}
	return append(all, d.barredWholes()...)
}

func placedIn(all []placing) int {
	n := 0
	for _, p := range all {
		n += len(p.lots)
	}
	return n
}

// barredWholes says why offers to take everything cannot be made good.
func (d *draft) barredWholes() []Alternative {
	t := tableOf(d.in)
	var all []Alternative
	for _, w := range d.in.Wishes.WholeOffers {
		s, err := t.list("whole_offers", w.List)
		if err != nil || len(d.in.Lots) == 0 {
			continue
		}
		if why := d.wholeBar(s, w); why != "" {
			all = append(all, Alternative{Text: fmt.Sprintf("all of it cannot go to %s: %s", d.seekers[s].list.GetTitle(), why), Exact: true})
		}
	}
	return all
}
