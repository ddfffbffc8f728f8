package rigging

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"heirpress/search/trade"
)

// picture is the load on the deck from above, to scale: every measure is in
// millimetres of the deck, moved by the margin.
type picture struct {
	// ID is unique on the page.
	ID string
	// Title and Desc are what a screen reader says.
	Title, Desc string
	// Width and Height are of the whole picture.
	Width, Height float64
	Deck          rect
	Boxes         []rect
	Ties          []segment
	// Axle is a mark at the rear axle; nil where it is not known.
	Axle *segment
	// Font is the size of letters.
	Font  float64
	Front label
	Rear  label
	Scale segment
	// Measure says how long the scale is.
	Measure label
	Marks   []label
}

type rect struct {
	X, Y, W, H float64
	// Class tells a machine from a pallet.
	Class string
}

type segment struct{ X1, Y1, X2, Y2 float64 }

type label struct {
	X, Y, Size float64
	Anchor     string
	Text       string
}

// letterShare is how wide a letter is at most, as a share of its size.
const letterShare = 0.62

// pictureOf draws a trip; nil where the deck is not known.
func pictureOf(v VehiclePlan, t Trip, at, of int, r report) *picture {
	if v.DeckLengthMm == 0 || v.DeckWidthMm == 0 {
		return nil
	}
	font := max(v.DeckLengthMm/45, 80)
	margin := 2.5 * font
	p := &picture{
		ID: fmt.Sprintf("trip%d", at+1), Title: fmt.Sprintf("Trip %d of %d on the deck, from above, to scale", at+1, of),
		Width: v.DeckLengthMm + 2*margin, Height: v.DeckWidthMm + 2*margin, Font: font,
		Deck:  rect{margin, margin, v.DeckLengthMm, v.DeckWidthMm, "deck"},
		Front: label{margin, margin - font*0.6, font, "start", "front"},
		Rear:  label{margin + v.DeckLengthMm, margin - font*0.6, font, "end", "rear"},
	}
	p.scale(margin, r.u)
	if x := v.AxleMm; x > 0 && x < v.DeckLengthMm {
		p.Axle = &segment{margin + x, margin - font*0.4, margin + x, margin + v.DeckWidthMm + font*0.4}
		p.Marks = append(p.Marks, label{margin + x, margin - font*0.6, font, "middle", "axle"})
	}
	ties := 0
	for _, a := range t.Articles {
		ties += p.article(a, v.Gear != nil, margin)
	}
	p.Desc = r.describe(v, t, ties)
	return p
}

// scale draws a rule of 3 ft or of 1 m below the deck.
func (p *picture) scale(margin float64, u trade.Units) {
	long, words := 3*footMm, "3 ft"
	if u == trade.Metric {
		long, words = 1000, "1 m"
	}
	y := p.Height - margin/2
	p.Scale = segment{margin, y, margin + long, y}
	p.Measure = label{margin + long + p.Font/2, y + p.Font*0.35, p.Font, "start", words}
}

// article draws a thing and the tiedowns over it, and says how many those are.
func (p *picture) article(a Article, given bool, margin float64) int {
	class := "machine"
	if a.Pallet {
		class = "pallet"
	}
	p.Boxes = append(p.Boxes, rect{margin + a.XMm, margin + a.YMm, a.LengthMm, a.WidthMm, class})
	name := a.Name
	if a.Guessed || a.MassKg == 0 {
		name += "?"
	}
	size := min(p.Font, a.WidthMm*0.5, a.LengthMm*0.9/(letterShare*float64(utf8.RuneCountInString(name))))
	p.Marks = append(p.Marks, label{margin + a.XMm + a.LengthMm/2, margin + a.YMm + a.WidthMm/2 + size*0.35, size, "middle", name})
	n := a.Lashing.drawn(given)
	for k := range n {
		x := margin + a.XMm + a.LengthMm*float64(k+1)/float64(n+1)
		p.Ties = append(p.Ties, segment{x, p.Deck.Y, x, p.Deck.Y + p.Deck.H})
	}
	return n
}

// drawn is how many tiedowns there are over a thing: those used of what is given,
// or what it takes of 2 in straps without a mark.
func (l Lashing) drawn(given bool) int {
	if !given {
		return max(l.Ties, int(math.Ceil(l.NeededKg/strapKg()*(1-hair))))
	}
	n := 0
	for _, u := range l.Used {
		n += u.Count
	}
	return n
}

// describe says what the picture shows, row by row.
func (r report) describe(v VehiclePlan, t Trip, ties int) string {
	var rows []string
	for i := 0; i < len(t.Articles); {
		end := i
		var names []string
		for end < len(t.Articles) && t.Articles[end].XMm == t.Articles[i].XMm {
			names = append(names, t.Articles[end].Name)
			end++
		}
		rows = append(rows, sentence(names)+r.placeWords(t.Articles[i].XMm))
		i = end
	}
	text := fmt.Sprintf("The deck from the front: %s; %s over the top.", strings.Join(rows, "; then "), trade.FormatCount(ties, "tiedown"))
	if guessed(t) {
		text += " A question mark stands by what has a size or a weight that nobody knows."
	}
	return text
}

// placeWords says how far from the front of the deck a row stands.
func (r report) placeWords(mm float64) string {
	if mm < 1 {
		return " at the front"
	}
	return " at " + r.span(mm)
}

func guessed(t Trip) bool {
	for _, a := range t.Articles {
		if a.Guessed || a.MassKg == 0 {
			return true
		}
	}
	return false
}
