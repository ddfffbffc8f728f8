package rigging

import (
	"fmt"
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

// Plan writes the brief for a load on a site. A nil site, and whatever the site
// does not say, becomes questions. Lots that are nil are passed over.
func Plan(load []*pb.Lot, site *Site) *Brief {
	if site == nil {
		site = &Site{}
	}
	m := gather(load, site)
	b := &Brief{
		Title: m.title(), Load: m.load(),
		ByHand: m.byHand(), Handling: m.handling(), Tipping: m.tipping(),
		StripDown: m.stripDown(), Hazards: m.hazards(),
		Cautions: cautions(), NotCovered: notCovered(), Edition: Edition,
	}
	b.Ends = []EndCheck{m.end(shopEnd, site.From), m.end(homeEnd, site.To)}
	b.Vehicle, b.Ways = m.vehicle(), m.ways()
	b.Riggers = m.riggers(b)
	b.Questions = m.questions(b)
	return b
}

// move is a load and a site as they are worked with.
type move struct {
	lots  []*pb.Lot
	items []Item
	// units are heaviest first; those of equal weight in the load's order.
	units []unit
	site  *Site
}

func gather(load []*pb.Lot, site *Site) *move {
	m := &move{site: site}
	for _, lot := range load {
		if lot == nil {
			continue
		}
		m.lots = append(m.lots, lot)
		item := itemOf(lot)
		m.items = append(m.items, item)
		if item.StandsAlone {
			m.units = append(m.units, unitsOf(len(m.lots)-1, lot, item)...)
		}
	}
	slices.SortStableFunc(m.units, heaviestFirst)
	return m
}

// each is one unit of every lot that stands alone, heaviest first.
func (m *move) each() []unit {
	var one []unit
	for _, u := range m.units {
		if len(one) == 0 || one[len(one)-1].lot != u.lot {
			one = append(one, u)
		}
	}
	return one
}

// title names the load: one lot by its title, several by their shop if they have
// one in common.
func (m *move) title() string {
	switch len(m.lots) {
	case 0:
		return "Nothing to move"
	case 1:
		return m.lots[0].GetTitle()
	}
	shop := m.lots[0].GetShopTitle()
	for _, l := range m.lots {
		if l.GetShopTitle() != shop {
			shop = ""
		}
	}
	if shop == "" {
		return fmt.Sprintf("%d lots", len(m.lots))
	}
	return fmt.Sprintf("%d lots of %s", len(m.lots), shop)
}

func (m *move) load() Load {
	l := Load{Items: m.items}
	for _, i := range m.items {
		if !i.Weight.Known {
			l.Unweighed = append(l.Unweighed, i.Tag)
			continue
		}
		l.LowKg += i.Weight.LowKg
		l.HighKg += i.Weight.HighKg
	}
	return l
}
