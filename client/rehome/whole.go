package rehome

import "heirpress/search/trade"

// wholes are the offers to take everything that can be made good.
func (d *draft) wholes() ([]placing, error) {
	t := tableOf(d.in)
	var all []placing
	for _, w := range d.in.Wishes.WholeOffers {
		s, err := t.list("whole_offers", w.List)
		if err != nil {
			return nil, err
		}
		if len(d.in.Lots) > 0 && d.wholeBar(s, w) == "" {
			all = append(all, d.placeWhole(s))
		}
	}
	return all, nil
}

// placeWhole is everything going to one seeker. All of it finds a home, for they
// have said that they take it.
func (d *draft) placeWhole(s int) placing {
	p := placing{seeker: s}
	for l := range d.in.Lots {
		c := d.best[[2]int{l, s}]
		p.lots, p.candidates = append(p.lots, l), append(p.candidates, c)
		if p.plain += d.home; c != nil {
			p.plain += fitPoints(c)
		}
	}
	p.points = p.plain + d.seekers[s].prefer*int64(len(p.lots))
	if d.in.Wishes.Whole == WholePreferred {
		p.points += d.in.Wishes.WholePoints
	}
	return p
}

// wholeBar is why an offer to take everything cannot be made good.
func (d *draft) wholeBar(s int, w WholeOffer) string {
	seeker := d.seekers[s]
	var weight, price int64
	for _, l := range d.in.Lots {
		weight += grams(l)
		price += seeker.cost(l)
	}
	trips := 1
	if seeker.payload != nil && *seeker.payload > 0 {
		trips = int((weight + int64(*seeker.payload*1000) - 1) / int64(*seeker.payload*1000))
	}
	switch {
	case seeker.road != nil && seeker.road.None:
		return "there is no road there"
	case w.Trips > 0 && trips > w.Trips:
		return "it takes " + trade.FormatCount(trips, "trip") + " to fetch it all, and they will make " + trade.FormatCount(w.Trips, "trip")
	case trips > seeker.tripsBy(d.in.Today, d.firstDay()):
		return "it takes " + trade.FormatCount(trips, "trip") + " to fetch it all, more than there is time for"
	case d.budgetSaid(s) && price > seeker.budget:
		return "it costs more than they can spend"
	}
	return ""
}
