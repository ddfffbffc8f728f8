package rigging

import (
	"fmt"
	"math"

	"heirpress/search/trade"
)

// Article is one thing on the deck: a machine, or a pallet of boxes and cases.
type Article struct {
	// Tags are the lots that it is, or that are on the pallet.
	Tags []string `json:"tags"`
	// Name is a short one, for the picture: "P2", or "Pallet 3".
	Name string `json:"name"`
	// Pallet is true for a pallet of boxes and cases.
	Pallet bool `json:"pallet,omitempty"`
	// MassKg is planned with; 0 if it is not known.
	MassKg float64 `json:"massKg,omitempty"`
	// XMm and YMm are its corner from the front and the left of the deck; 0
	// where the deck is not known.
	XMm float64 `json:"xMm"`
	YMm float64 `json:"yMm"`
	// LengthMm is along the deck and WidthMm across it. On a deck that nobody
	// knows its longer side is taken to lie along.
	LengthMm float64 `json:"lengthMm"`
	WidthMm  float64 `json:"widthMm"`
	// Guessed is true where nobody knows its outside: it has a pallet's room.
	Guessed bool `json:"guessed,omitempty"`
	// Lashing is how it is held.
	Lashing Lashing `json:"lashing"`
}

// A pallet is 40 by 48 in and takes 1,000 lb of boxes and cases in few layers.
// The size is common, the weight a design choice.
const (
	palletWidthMm = 40 * trade.MmPerInch
	palletDepthMm = 48 * trade.MmPerInch
	palletKg      = 1000 * trade.KgPerPound
)

// articles are everything that goes on a deck: the units, heaviest first, and
// then the pallets.
func (m *move) articles() []Article {
	var all []Article
	for _, u := range m.units {
		a := Article{Tags: []string{u.tag}, Name: u.tag, MassKg: u.massKg, LengthMm: palletDepthMm, WidthMm: palletWidthMm, Guessed: true}
		if u.outside != nil {
			a.LengthMm, a.WidthMm, a.Guessed = u.outside.DepthMm, u.outside.WidthMm, false
		}
		all = append(all, a)
	}
	return append(all, m.pallets()...)
}

// pallets shares what is boxed out evenly: as many pallets as its weight takes.
// What has no weight that anybody knows is on the last of them.
func (m *move) pallets() []Article {
	var tags []string
	var massKg float64
	for _, i := range m.items {
		if !i.StandsAlone {
			tags = append(tags, i.Tag)
			massKg += i.Weight.HighKg
		}
	}
	if len(tags) == 0 {
		return nil
	}
	n := max(int(math.Ceil(massKg/palletKg)), 1)
	all := make([]Article, n)
	for k := range all {
		all[k] = Article{Tags: tags, Name: palletName(k, n), Pallet: true, MassKg: massKg / float64(n), LengthMm: palletDepthMm, WidthMm: palletWidthMm}
	}
	return all
}

func palletName(k, n int) string {
	if n == 1 {
		return "Pallet"
	}
	return fmt.Sprintf("Pallet %d", k+1)
}
