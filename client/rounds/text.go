package rounds

import (
	"fmt"
	"io"
	"strings"
	"time"

	"heirpress/client/rigging"
	"heirpress/search/trade"
)

// Text writes a plan for people to read.
func Text(w io.Writer, p *Plan, u trade.Units) error {
	t := &teller{u: u}
	t.line("Pick-up rounds of %s: %s.", p.Shop, trade.FormatCount(len(p.Rounds), "round"))
	for i, r := range p.Rounds {
		t.round(i+1, r)
	}
	for _, m := range p.TooMuch {
		t.line("\nToo much for the vehicle of %s: %s. It needs another vehicle, or riggers with one.", m.Caller, strings.Join(m.Names, ", "))
	}
	t.end(p)
	_, err := io.WriteString(w, t.b.String())
	return err
}

type teller struct {
	b strings.Builder
	u trade.Units
}

func (t *teller) line(format string, args ...any) { fmt.Fprintf(&t.b, format+"\n", args...) }

func (t *teller) round(n int, r Round) {
	t.line("\n%d. %s: %s", n, dayWords(r.Day), who(r, t.u))
	if r.Late {
		t.line("   Late: the clear-by day is %s. Ask for more days, let more come on a day, or find a larger vehicle.", dayWords(r.ClearBy))
	}
	t.line("   Vehicle: %s", t.vehicle(r))
	if len(r.ClearFirst) > 0 {
		t.line("   Out first, to the door, so that the way is clear: %s", strings.Join(r.ClearFirst, ", "))
	}
	t.line("   Then on the deck, in this order: %s", strings.Join(t.pieces(r.Load), ", "))
	t.line("   People: %s", people(r))
	for _, g := range r.Gear {
		t.line("   Bring: %s", t.gear(g))
	}
	for _, reason := range r.Riggers {
		t.line("   Call professional riggers: %s", rigging.ReasonWords(reason, t.u))
	}
}

func who(r Round, u trade.Units) string {
	text := r.Caller
	if r.Town != "" {
		text += ", " + r.Town
	}
	if r.RoadKm > 0 {
		text += "; about " + trade.FormatRoad(r.RoadKm, u) + " by road"
	}
	if r.Trips > 1 {
		text += fmt.Sprintf("; trip %d of %d", r.Trip, r.Trips)
	}
	return text
}

func (t *teller) vehicle(r Round) string {
	load := trade.FormatMass(r.LoadKg, t.u) + " planned on it"
	if len(r.Unweighed) > 0 {
		load += fmt.Sprintf(", and %s, whose weight nobody knows", strings.Join(r.Unweighed, ", "))
	}
	switch {
	case r.Assumed:
		return fmt.Sprintf("not said; a %s that carries %s is planned with; %s", r.Vehicle, trade.FormatMass(r.PayloadKg, t.u), load)
	case r.PayloadKg > 0:
		return fmt.Sprintf("carries %s, as they say; %s, %.0f percent", trade.FormatMass(r.PayloadKg, t.u), load, 100*r.LoadKg/r.PayloadKg)
	}
	return "its payload is not said; " + load
}

func (t *teller) pieces(load []Piece) []string {
	var all []string
	for _, p := range load {
		weight := "weight not known"
		if p.MassKg > 0 {
			weight = trade.FormatMass(p.MassKg, t.u)
		}
		all = append(all, fmt.Sprintf("%s (%s)", p.Name, weight))
	}
	return all
}

func people(r Round) string {
	switch {
	case r.PeopleCome == 0:
		return fmt.Sprintf("%d at the least; how many come is not said", r.People)
	case r.PeopleCome < r.People:
		return fmt.Sprintf("%d at the least, and %d come: find %d more", r.People, r.PeopleCome, r.People-r.PeopleCome)
	}
	return fmt.Sprintf("%d at the least; %d come", r.People, r.PeopleCome)
}

func (t *teller) gear(g Gear) string {
	switch {
	case g.Count > 0:
		return fmt.Sprintf("%s, %d of them", g.Name, g.Count)
	case g.LeastKg > 0:
		return fmt.Sprintf("%s, for %s or more", g.Name, trade.FormatMass(g.LeastKg, t.u))
	}
	return g.Name
}

func (t *teller) end(p *Plan) {
	for _, q := range p.Questions {
		t.line("\nAsk %s:", q.Caller)
		for _, ask := range q.Ask {
			text := ask.Text
			if len(ask.Tags) > 0 {
				text = strings.Join(ask.Tags, ", ") + ": " + text
			}
			t.line("  - %s", text)
		}
	}
	for i, h := range p.Hazards {
		if i == 0 {
			t.line("\nWhat is in the load:")
		}
		t.line("  - %s (%s). %s", h.Name, strings.Join(h.Tags, ", "), h.Text)
	}
	t.line("\nCautions:")
	for _, c := range p.Cautions {
		t.line("  - %s", c)
	}
	t.line("\nThis is a plan to talk over: nobody has agreed to a day yet. heirpress rig writes the moving brief of each load.")
}

// dayWords is a day with its weekday.
func dayWords(day string) string {
	at, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return day
	}
	return at.Format("Monday 2006-01-02")
}
