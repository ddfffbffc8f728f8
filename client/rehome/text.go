package rehome

import (
	"fmt"
	"io"
	"strings"

	"heirpress/search/place"
	"heirpress/search/trade"
)

// Text writes a plan for a family to read.
func Text(w io.Writer, p *Plan, u trade.Units) error {
	t := &teller{u: u}
	t.head(p)
	for _, h := range p.Homes {
		t.home(h)
	}
	t.leftovers(p)
	t.others(p)
	t.line("This is a proposal, reckoned from what the lists and the lots say. You decide: ask each of them first, and promise nothing until they have answered.")
	_, err := io.WriteString(w, t.b.String())
	return err
}

type teller struct {
	b strings.Builder
	u trade.Units
}

func (t *teller) line(format string, args ...any) { fmt.Fprintf(&t.b, format+"\n", args...) }

func (t *teller) head(p *Plan) {
	left := p.Lots - p.Placed()
	t.line("Of %s, %d find a home among %s; %d have none yet.", trade.FormatCount(p.Lots, "lot"), p.Placed(), trade.FormatCount(p.Lists, "wanted list"), left)
	if p.Whole {
		t.line("The shop stays whole.")
	}
	t.line("The plan comes to %d points: %d for every home, and how well it fits, 0 to 100.", p.Points, p.HomePoints)
	if p.Proven() {
		t.line("No plan under the same wishes comes to more: that is proven.")
	} else {
		t.line("Time ran out before more was proven: no plan under the same wishes comes to more than %d points, %.1f percent above this one.", p.Bound, 100*float64(p.Bound-p.Points)/max(float64(p.Points), 1))
	}
	t.line("Taking the best pair first, again and again, would come to %d.", p.Greedy)
}

func (t *teller) home(h Home) {
	t.line("\n%s, %s%s", h.List.GetTitle(), h.List.GetTown().GetLabel(), t.away(h.Road))
	for _, g := range h.Given {
		fit := "not asked for"
		if g.Fit != nil {
			fit = fmt.Sprintf("fit %.0f of 100", g.Fit.GetScore())
		}
		t.line("  %s: %s; %s", g.Lot.GetTag(), g.Lot.GetTitle(), fit)
		t.line("     %s", strings.Join(g.Why, "; "))
	}
	t.line("  In all: %s", strings.Join(t.totals(h), "; "))
	for _, a := range h.Ask {
		t.line("  Ask: %s", a)
	}
}

func (t *teller) away(r *place.Road) string {
	switch {
	case r == nil:
		return "; distance not known"
	case r.HighKm == 0:
		return "; in the same town"
	}
	return fmt.Sprintf("; about %s by road", trade.FormatRoad(r.Km, t.u))
}

func (t *teller) totals(h Home) []string {
	all := []string{trade.FormatCount(len(h.Given), "lot")}
	if h.HighKg > 0 {
		weight := trade.FormatMassRange(h.LowKg, h.HighKg, t.u)
		if p := kitPayload(h.List); p != nil {
			weight += fmt.Sprintf(", where their vehicle carries %s", trade.FormatMass(*p, t.u))
		}
		all = append(all, weight)
	}
	for _, m := range h.Prices {
		all = append(all, trade.FormatMoney(m)+" asked")
	}
	return all
}

func (t *teller) leftovers(p *Plan) {
	var unasked []Left
	for i, l := range p.Left {
		if i == 0 {
			t.line("\nWithout a home so far:")
		}
		if len(l.Why) == 0 {
			unasked = append(unasked, l)
			continue
		}
		t.line("  %s: %s", l.Lot.GetTag(), l.Lot.GetTitle())
		for _, w := range l.Why {
			t.line("     %s", w)
		}
		t.line("     %s", l.Do)
	}
	t.unasked(unasked)
}

// unasked tells of lots that nobody asks for, those together that the same is to
// be done with.
func (t *teller) unasked(left []Left) {
	for len(left) > 0 {
		do := left[0].Do
		t.line("  Nobody here asks for these:")
		var rest []Left
		for _, l := range left {
			if l.Do != do {
				rest = append(rest, l)
				continue
			}
			t.line("     %s: %s", l.Lot.GetTag(), l.Lot.GetTitle())
		}
		t.line("     %s", do)
		left = rest
	}
}

func (t *teller) others(p *Plan) {
	if len(p.Alternatives) > 0 {
		t.line("\nWhat your wishes come to:")
	}
	for _, a := range p.Alternatives {
		text := a.Text
		if !a.Exact {
			text += " (as far as it could be worked out in the time)"
		}
		t.line("  %s.", capital(text))
	}
	t.line("")
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }
