package rigging

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"heirpress/search/trade"
)

func (r report) vehicle() section {
	s := section{ID: "vehicle", Heading: "Vehicle and trips"}
	v := r.b.Vehicle
	if len(r.b.Load.Items) == 0 {
		return s
	}
	s.Blocks = []block{{Text: r.vehicleWords(v)}}
	for i, t := range v.Trips {
		s.Blocks = append(s.Blocks, block{Sub: fmt.Sprintf("Trip %d of %d", i+1, len(v.Trips))}, block{Text: r.tripWords(v, t)})
		if p := pictureOf(v, t, i, len(v.Trips), r); p != nil {
			s.Blocks = append(s.Blocks, block{Picture: p})
		}
	}
	var list []string
	if len(v.TooMuch) > 0 {
		list = append(list, "Too heavy or too large for this vehicle even alone: "+sentence(v.TooMuch)+".")
	}
	if len(v.GateExceeded) > 0 {
		list = append(list, "Heavier than the liftgate is rated for: "+tagList(v.GateExceeded)+".")
	}
	if list != nil {
		s.Blocks = append(s.Blocks, block{List: list})
	}
	return s
}

func (r report) vehicleWords(v VehiclePlan) string {
	var parts []string
	if v.PayloadKg > 0 {
		parts = append(parts, "payload "+r.mass(v.PayloadKg))
	} else {
		parts = append(parts, "payload not known: nothing here says that it bears the load")
	}
	if v.DeckLengthMm > 0 {
		parts = append(parts, fmt.Sprintf("deck %s by %s", r.span(v.DeckLengthMm), r.span(v.DeckWidthMm)))
	} else {
		parts = append(parts, "deck not known")
	}
	text := capital(v.Kind) + ", " + strings.Join(parts, ", ")
	text += r.axlesAt(v)
	switch {
	case v.Assumed && len(v.Trips) > 1:
		text += "; assumed, since nobody has named one: the largest of three common ones"
	case v.Assumed:
		text += "; assumed, since nobody has named one: the smallest of three common ones that takes it at once"
	}
	text += ". A tenth of the payload is left for crew, fuel, skids, timber and straps."
	if len(r.b.Load.Items) > 1 {
		text += " Heaviest first, each thing goes on the first trip that has payload and deck left for it."
	}
	if v.WheelbaseMm == 0 || v.AxleMm == 0 {
		text += " The axles are not known: on a truck keep the heaviest a little ahead of the rear axle; on a trailer so that 10 to 15 percent of the load bears on the coupling."
	}
	return text
}

// axlesAt says where the axles are, if that is known.
func (r report) axlesAt(v VehiclePlan) string {
	if v.WheelbaseMm == 0 || v.AxleMm == 0 {
		return ""
	}
	words := ", rear axle %s from the front of the deck, wheelbase %s"
	if v.Kind == string(Trailer) {
		words = ", axle %s from the front of the deck and %s from the coupling"
	}
	return fmt.Sprintf(words, r.span(v.AxleMm), r.span(v.WheelbaseMm))
}

func (r report) tripWords(v VehiclePlan, t Trip) string {
	text := "Up to " + r.mass(t.LoadKg)
	if t.LoadKg == 0 {
		text = "Of unknown weight"
	}
	if t.LengthMm > 0 {
		text += fmt.Sprintf(", on %s of the deck", r.span(t.LengthMm))
	}
	text += ": " + r.articleNames(t) + "."
	if t.CentreMm > 0 {
		text += fmt.Sprintf(" The centre of the load is %s from the front of the deck%s.", r.span(t.CentreMm), r.aside(t.AsideMm))
	}
	if t.Axles != nil && t.LoadKg > mostLiftedKg {
		text += r.axleWords(v.Kind, *t.Axles)
	}
	if gap := t.frontGap(); gap > gapMm {
		text += fmt.Sprintf(" Fill the %s in front of it with blocking timber.", r.span(gap))
	}
	return text
}

// articleNames lists what is on a trip, and says what is on the pallets.
func (r report) articleNames(t Trip) string {
	var names []string
	pallets := 0
	for _, a := range t.Articles {
		if a.Pallet {
			pallets++
			continue
		}
		names = append(names, a.Name)
	}
	text := tagList(names)
	if pallets == 0 {
		return text
	}
	if text != "" {
		text += " and "
	}
	return text + trade.FormatCount(pallets, "pallet") + " of cases and boxes"
}

// aside says how far the load is off the middle, if by an inch or more.
func (r report) aside(mm float64) string {
	side := "right"
	if mm < 0 {
		side = "left"
	}
	if math.Abs(mm) < trade.MmPerInch {
		return ""
	}
	return fmt.Sprintf(" and %s to the %s of the middle", r.length(math.Abs(mm)), side)
}

// frontGap is how much of the deck is free in front of the load.
func (t Trip) frontGap() float64 {
	if t.LengthMm == 0 {
		return 0
	}
	gap := math.Inf(1)
	for _, a := range t.Articles {
		gap = min(gap, a.XMm)
	}
	return gap
}

func (r report) axleWords(kind string, a AxleShare) string {
	percent := decimal(a.Share*100, 0)
	if kind != string(Trailer) {
		if a.FrontKg < 0 {
			return fmt.Sprintf(" By the lever rule it takes %s off the front axle: that is no way to drive. Load it otherwise.", r.mass(-a.FrontKg))
		}
		return fmt.Sprintf(" By the lever rule %s of it is on the front axle and %s on the rear: hold both against the axle ratings on the sticker.", r.mass(a.FrontKg), r.mass(a.RearKg))
	}
	switch {
	case a.Share < couplingLow:
		return fmt.Sprintf(" By the lever rule only %s percent bears on the coupling: with less than a tenth a trailer sways. Load it otherwise.", percent)
	case a.Share > couplingHi:
		return fmt.Sprintf(" By the lever rule %s, %s percent, bears on the coupling: more than 15 percent is hard on the hitch. Load it otherwise, or take less.", r.mass(a.FrontKg), percent)
	}
	return fmt.Sprintf(" By the lever rule %s, %s percent, bears on the coupling: hold it against the hitch's rating.", r.mass(a.FrontKg), percent)
}

func (r report) lashing() section {
	s := section{ID: "lashing", Heading: "Lashing"}
	v := r.b.Vehicle
	if len(v.Trips) == 0 {
		return s
	}
	s.Blocks = []block{{Text: r.lashingWords()}}
	for i, t := range v.Trips {
		s.Blocks = append(s.Blocks, block{Table: r.lashingTable(v, t, i)})
	}
	return s
}

func (r report) lashingWords() string {
	text := "For each thing: the least number of tiedowns by its length along the deck and its weight, and working load limits that add up to half its weight (" + r.b.Edition + "). A tiedown over the top to the other side counts in full; one from the deck to the load, or back to its own side, counts half."
	if len(r.b.Vehicle.Gear) == 0 {
		text += fmt.Sprintf(" A 2 in strap without a tag counts as %s.", r.mass(strapKg()))
	}
	if h := r.heaviestOnDeck(); h != nil {
		text += fmt.Sprintf(" Hard braking (0.8 g) pushes %s forward with %s, a hard bend (0.5 g) sideways with %s: nothing may break there.", h.words(), r.force(h.Lashing.BrakingKg), r.force(h.Lashing.BendKg))
	}
	return text + " Hold down at least a fifth of the weight of whatever is not boxed in. A press wants crossed tiedowns at both ends as well as over the top: practice, not the rule."
}

func (r report) heaviestOnDeck() *Article {
	var best *Article
	for _, t := range r.b.Vehicle.Trips {
		for k := range t.Articles {
			if a := &t.Articles[k]; a.MassKg > 0 && (best == nil || a.MassKg > best.MassKg) {
				best = a
			}
		}
	}
	return best
}

// words is what an article is called in a sentence.
func (a *Article) words() string {
	if a.Pallet {
		return "a pallet"
	}
	return a.Name
}

// strapKg is a 2 in strap without a mark.
func strapKg() float64 {
	// 2 in is in the table: there is no error.
	kg, _ := DefaultLimitKg(Webbing, 2*trade.MmPerInch)
	return kg
}

// lashingTable has a row for each thing; things held alike share one.
func (r report) lashingTable(v VehiclePlan, t Trip, i int) *table {
	tb := &table{
		Caption: fmt.Sprintf("Trip %d: %s at least", i+1, trade.FormatCount(t.TiesNeeded, "tiedown")),
		Head:    []string{"On the deck", "Tiedowns at least", "Limits that add up to", "Use", "Still short of"},
	}
	if v.Gear == nil {
		tb.Head = []string{"On the deck", "Tiedowns at least", "Limits that add up to", "2 in straps without a tag, over the top", "Or straight to the load"}
	}
	var names []string
	for i, a := range t.Articles {
		row := r.lashingRow(v, a)
		if last := len(tb.Rows) - 1; last >= 0 && slices.Equal(tb.Rows[last][1:], row[1:]) && a.Pallet == t.Articles[i-1].Pallet {
			names = append(names, a.Name)
			tb.Rows[last][0] = tagList(names)
			continue
		}
		names = []string{a.Name}
		tb.Rows = append(tb.Rows, row)
	}
	return tb
}

func (r report) lashingRow(v VehiclePlan, a Article) []string {
	l := a.Lashing
	row := []string{a.Name, fmt.Sprint(l.Ties)}
	if a.MassKg == 0 {
		row = append(row, "not known, for its weight is not")
	} else {
		row = append(row, r.force(l.NeededKg))
	}
	switch {
	case v.Gear != nil:
		return append(row, r.usedWords(l), r.shortWords(l))
	case a.MassKg == 0:
		return append(row, "", "")
	}
	return append(row, r.straps(l, Over), r.straps(l, Direct))
}

// straps is how many 2 in straps without a mark it takes, run that way.
func (r report) straps(l Lashing, p Path) string {
	each := Tiedown{strapKg(), p}.CountedKg()
	return fmt.Sprint(max(l.Ties, int(math.Ceil(l.NeededKg/each*(1-hair)))))
}

func (r report) usedWords(l Lashing) string {
	var parts []string
	for _, u := range l.Used {
		parts = append(parts, fmt.Sprintf("%d x %s of %s", u.Count, u.Name, r.mass(u.WLLKg)))
	}
	if parts == nil {
		return "nothing left to use"
	}
	return sentence(parts) + " over the top"
}

func (r report) shortWords(l Lashing) string {
	var parts []string
	if l.ShortTies > 0 {
		parts = append(parts, trade.FormatCount(l.ShortTies, "tiedown"))
	}
	if l.ShortKg > 0 {
		parts = append(parts, r.force(l.ShortKg)+" of working load limit")
	}
	return sentence(parts)
}

func (r report) tipping() section {
	s := section{ID: "tipping", Heading: "Tipping"}
	if len(r.b.Tipping) == 0 {
		return s
	}
	s.Blocks = []block{
		{Text: "Guesses at bases and centres of gravity (practice, no source), over the narrower side, standing free. They are there to show what wants lashing high, not to show that anything stands."},
		{List: r.falls()},
	}
	return s
}

// fewTips is how many things still have their own line.
const fewTips = 3

// falls lists things one by one if there are few, else by what happens.
func (r report) falls() []string {
	all := r.b.Tipping
	if len(all) <= fewTips {
		var list []string
		for _, t := range all {
			list = append(list, fmt.Sprintf("%s: base %s to %s, centre %s to %s up; goes over by itself at a tilt of %s to %s degrees. In a hard bend (0.5 g): %s. Under hard braking (0.8 g): %s.",
				t.Tag, r.length(t.BaseLowMm), r.length(t.BaseHighMm), r.length(t.CentreLowMm), r.length(t.CentreHighMm),
				decimal(t.LowDeg, 0), decimal(t.HighDeg, 0), t.Bend, t.Braking))
		}
		return list
	}
	var list []string
	for _, f := range []Fall{GoesOver, MayGoOver, DoesNotYet} {
		list = append(list, fallLine(all, "In a hard bend (0.5 g) ", f, func(t Tipping) Fall { return t.Bend })...)
	}
	for _, f := range []Fall{GoesOver, MayGoOver, DoesNotYet} {
		list = append(list, fallLine(all, "Under hard braking (0.8 g) ", f, func(t Tipping) Fall { return t.Braking })...)
	}
	return list
}

func fallLine(all []Tipping, when string, f Fall, of func(Tipping) Fall) []string {
	var tags []string
	for _, t := range all {
		if of(t) == f {
			tags = append(tags, t.Tag)
		}
	}
	if tags == nil {
		return nil
	}
	return []string{when + string(f) + ": " + tagList(tags) + "."}
}

func (r report) stripDown() section {
	s := section{ID: "strip", Heading: "Taking apart and crating"}
	for _, d := range r.b.StripDown {
		s.Blocks = append(s.Blocks, block{Sub: capital(d.For) + " (" + tagList(d.Tags) + ")"}, block{Steps: d.Steps})
		if len(d.Crate) > 0 {
			s.Blocks = append(s.Blocks, block{Text: "Crate: " + strings.Join(d.Crate, "; ") + "."})
		}
	}
	return s
}

func (r report) hazards() section {
	s := section{ID: "hazards", Heading: "Hazards in this load"}
	for _, h := range r.b.Hazards {
		s.Blocks = append(s.Blocks, block{Sub: h.Name + " (" + tagList(h.Tags) + ")"}, block{Text: h.Text})
	}
	return s
}

func (r report) cautions() section {
	return section{ID: "cautions", Heading: "Cautions", Blocks: []block{{List: r.b.Cautions}}}
}

func (r report) notCovered() section {
	return section{ID: "limits", Heading: "What this brief does not cover", Blocks: []block{{List: r.b.NotCovered}}}
}
