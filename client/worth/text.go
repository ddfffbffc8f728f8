package worth

import (
	"fmt"
	"io"
	"strings"

	"heirpress/search/trade"
)

// Text writes a report for people to read.
func Text(w io.Writer, r *Report, u trade.Units) error {
	t := &teller{r: r, u: u}
	for i := range r.Lots {
		t.lot(&r.Lots[i])
	}
	if len(r.Lots) > 1 {
		t.total()
	}
	t.line("What this is:")
	for _, n := range r.Notes {
		t.line("  %s", n)
	}
	_, err := io.WriteString(w, t.b.String())
	return err
}

type teller struct {
	b strings.Builder
	r *Report
	u trade.Units
}

func (t *teller) line(format string, args ...any) { fmt.Fprintf(&t.b, format+"\n", args...) }

func (t *teller) about(v float64) string { return about(v, t.r.Currency) }

func (t *teller) lot(l *Lot) {
	t.line("%s: %s", l.Tag, l.Title)
	t.line("  %s", t.spread(l.Spread))
	if m := l.Lot.GetPrice(); m != nil {
		t.line("  Asked: %s. What is asked plays no part in the figures.", trade.FormatMoney(m))
	}
	for i, c := range l.Comparables {
		t.sale(i+1, c)
	}
	if len(l.Passed) > 0 {
		t.line("  Sales of its kind not used: %s.", strings.Join(l.Passed, "; "))
	}
	t.floor(l.Floor)
	t.move(l.Move)
	t.line("")
}

func (t *teller) spread(s Spread) string {
	switch {
	case s.Sales == 0:
		return "Too few to say: there is no recorded sale of the like."
	case s.Median == nil:
		return fmt.Sprintf("Too few to say: %s of the like, shown below.", trade.FormatCount(s.Sales, "recorded sale"))
	case s.Q1 == nil:
		return fmt.Sprintf("May fetch about %s: the median of %s of the like, %s to %s. They are few: the lowest and the highest hold the median of all such sales with a chance of %.0f percent, if they are a fair sample.",
			t.about(*s.Median), trade.FormatCount(s.Sales, "recorded sale"), t.about(*s.Low), t.about(*s.High), 100*s.Holds)
	}
	return fmt.Sprintf("May fetch about %s: the median of %s of the like. The middle half lies between %s and %s, all of them between %s and %s.",
		t.about(*s.Median), trade.FormatCount(s.Sales, "recorded sale"), t.about(*s.Q1), t.about(*s.Q3), t.about(*s.Low), t.about(*s.High))
}

func (t *teller) sale(n int, c Comparable) {
	where := "town not known"
	if c.Town != "" {
		where = c.Town
	}
	if c.AwayKm >= 0 {
		where += ", " + trade.FormatRoad(c.AwayKm, t.u) + " away"
	}
	t.line("  Sale %d: %s; %s; paid %s, comes to %s here (%s)", n, c.Title, where, trade.FormatMoney(c.Paid.Money), t.about(c.Adjusted), c.Source)
	var not []string
	for _, a := range c.Adjustments {
		if a.Factor == 1 {
			not = append(not, a.What+" ("+a.Ground+")")
			continue
		}
		choice := ""
		if a.Choice {
			choice = "; a design choice"
		}
		t.line("     %s × %.2f: %s%s", a.What, a.Factor, a.Ground, choice)
	}
	t.line("     not adjusted for: %s", strings.Join(not, "; "))
}

func (t *teller) floor(f *Floor) {
	if f == nil {
		return
	}
	t.line("  As scrap %s it would bring %s, %s.", f.Metal, t.between(f.Low, f.High), f.Words[0])
	for _, w := range f.Words[1:] {
		t.line("     %s", w)
	}
}

func (t *teller) between(low, high float64) string {
	if t.about(low) == t.about(high) {
		return t.about(low)
	}
	return t.about(low) + " to " + t.about(high)
}

func (t *teller) move(m *Move) {
	if m.Low != nil {
		t.line("  To move it a buyer pays %s beside the price: %s.", t.between(*m.Low, *m.High), strings.Join(m.Words, "; "))
		return
	}
	t.line("  What a buyer pays to move it is not known. Ask: %s", strings.Join(m.Ask, " "))
}

func (t *teller) total() {
	s := t.r.Total
	t.line("All together:")
	if s.Lots == 0 {
		t.line("  Too few to say of any of the %s.", trade.FormatCount(s.Silent, "lot"))
	} else {
		t.line("  The %s that there are sales of may fetch about %s, with a middle range of %s.", trade.FormatCount(s.Lots, "lot"), t.about(s.Middle), t.between(s.Low, s.High))
		t.line("  The range allows for what lots of one shop have in common: %.2f of it, %s; and for those that are held against the same sales.", s.Shared, s.Ground)
		t.line("  Had they nothing to do with one another it would be %s; did they rise and fall as one, %s.", t.between(s.ApartLow, s.ApartHigh), t.between(s.TogetherLow, s.TogetherHigh))
		if s.Silent > 0 {
			t.line("  Of %s there are too few sales to say: they are not in these figures.", trade.FormatCount(s.Silent, "lot"))
		}
	}
	if t.r.ScrapHigh > 0 {
		t.line("  As scrap the metal of all would bring %s.", t.between(t.r.ScrapLow, t.r.ScrapHigh))
	}
	t.line("  Moving is not added up: one drive may fetch several lots.")
	t.line("")
}
