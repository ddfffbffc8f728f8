package rigging

import (
	"math"
	"slices"
)

// gapMm is the room kept between things for hands and straps: 4 in. Common
// practice.
const gapMm = 101.6

// usable is how much of a payload is planned with: the rest is for crew, fuel,
// skids, timber and straps. A design choice.
const usable = 0.9

// pack shares articles out over trips: each in turn, heaviest first, goes on the
// first trip whose payload and deck still take it. What the vehicle does not take
// even alone is too much. Where payload or deck are not known they do not count.
func pack(articles []Article, v *Vehicle) (trips []Trip, tooMuch []string) {
	var decks []*deck
	for _, a := range articles {
		placed := false
		for _, d := range decks {
			if placed = d.take(a); placed {
				break
			}
		}
		if placed {
			continue
		}
		if d := (&deck{v: v}); d.take(a) {
			decks = append(decks, d)
		} else {
			tooMuch = append(tooMuch, a.Name)
		}
	}
	for _, d := range decks {
		trips = append(trips, d.trip())
	}
	return trips, tooMuch
}

// deck is a deck as it fills up, in rows across it from the front.
type deck struct {
	v      *Vehicle
	rows   []row
	massKg float64
	// loose are what is on a deck whose size nobody knows.
	loose []Article
}

// row is a row of articles across the deck.
type row struct {
	articles []Article
	// widthMm is taken across, with the gaps; depthMm along the deck.
	widthMm, depthMm float64
}

// take puts an article on the deck if the deck takes it.
func (d *deck) take(a Article) bool {
	if d.v.PayloadKg != nil && d.massKg+a.MassKg > *d.v.PayloadKg*usable*(1+hair) {
		return false
	}
	if !d.v.deckKnown() {
		a.LengthMm, a.WidthMm = max(a.LengthMm, a.WidthMm), min(a.LengthMm, a.WidthMm)
		d.loose = append(d.loose, a)
		d.massKg += a.MassKg
		return true
	}
	a, fits := d.turned(a)
	if !fits || !d.place(a) {
		return false
	}
	d.massKg += a.MassKg
	return true
}

// turned lays an article with its longer side across the deck if that goes, and
// along it otherwise.
func (d *deck) turned(a Article) (Article, bool) {
	long, short := max(a.LengthMm, a.WidthMm), min(a.LengthMm, a.WidthMm)
	a.LengthMm, a.WidthMm = short, long
	if long > d.v.DeckWidthMm {
		a.LengthMm, a.WidthMm = long, short
	}
	return a, a.WidthMm <= d.v.DeckWidthMm
}

// place puts an article in the first row that has room for it, or in a new one.
func (d *deck) place(a Article) bool {
	for i := range d.rows {
		r := &d.rows[i]
		deeper := max(a.LengthMm-r.depthMm, 0)
		if r.widthMm+gapMm+a.WidthMm <= d.v.DeckWidthMm && d.lengthMm()+deeper <= d.v.DeckLengthMm {
			r.articles = append(r.articles, a)
			r.widthMm += gapMm + a.WidthMm
			r.depthMm += deeper
			return true
		}
	}
	length := d.lengthMm() + a.LengthMm
	if len(d.rows) > 0 {
		length += gapMm
	}
	if length > d.v.DeckLengthMm {
		return false
	}
	d.rows = append(d.rows, row{[]Article{a}, a.WidthMm, a.LengthMm})
	return true
}

// lengthMm is how much of the deck the rows take.
func (d *deck) lengthMm() float64 {
	length := 0.0
	for i, r := range d.rows {
		if i > 0 {
			length += gapMm
		}
		length += r.depthMm
	}
	return length
}

// trip lays the rows out in the order that brings the centre of the load nearest
// to where the axles want it: heaviest first unless another is better.
func (d *deck) trip() Trip {
	best := d.layout(d.rows)
	for _, rows := range orders(d.rows) {
		if t := d.layout(rows); math.Abs(t.offMm) < math.Abs(best.offMm)-hair {
			best = t
		}
	}
	return best
}

// orders are every turning-round of the rows, from the front and from the back.
func orders(rows []row) [][]row {
	var all [][]row
	back := slices.Clone(rows)
	slices.Reverse(back)
	for _, from := range [][]row{rows, back} {
		for k := range from {
			all = append(all, slices.Concat(from[k:], from[:k]))
		}
	}
	return all
}

// layout lays rows out from the front, each across the middle of the deck and
// turned about if that brings the load nearer the middle line, and slides the
// whole as far back as the axles want it and the deck allows.
func (d *deck) layout(rows []row) Trip {
	t := Trip{LoadKg: d.massKg, LengthMm: d.lengthMm(), Articles: slices.Clone(d.loose)}
	x, moment := 0.0, 0.0
	for _, r := range rows {
		laid := r.lay(x, d.v.DeckWidthMm)
		aside := momentOf(laid, d.v.DeckWidthMm)
		if math.Abs(moment-aside) < math.Abs(moment+aside) {
			mirror(laid, d.v.DeckWidthMm)
			aside = -aside
		}
		moment += aside
		t.Articles = append(t.Articles, laid...)
		x += r.depthMm + gapMm
	}
	if d.v.deckKnown() {
		t.centre(d.v.DeckWidthMm)
	}
	if d.v.axlesKnown() && t.LoadKg > 0 {
		t.balance(d.v)
	}
	return t
}

// lay gives the articles of a row their places.
func (r row) lay(x, widthMm float64) []Article {
	laid := make([]Article, len(r.articles))
	y := (widthMm - r.widthMm) / 2
	for i, a := range r.articles {
		a.XMm, a.YMm = x, y
		laid[i] = a
		y += a.WidthMm + gapMm
	}
	return laid
}

// momentOf is the weight times its distance from the middle line, to the right.
func momentOf(laid []Article, widthMm float64) float64 {
	sum := 0.0
	for _, a := range laid {
		sum += a.MassKg * (a.YMm + a.WidthMm/2 - widthMm/2)
	}
	return sum
}

func mirror(laid []Article, widthMm float64) {
	for i := range laid {
		laid[i].YMm = widthMm - laid[i].YMm - laid[i].WidthMm
	}
}

// balance slides the load back so far as the deck allows until its centre is
// where the axles want it, and works the axles out.
func (t *Trip) balance(v *Vehicle) {
	target := v.AxleMm - v.aheadMm()
	t.slide(min(max(target-t.CentreMm, 0), v.DeckLengthMm-t.LengthMm))
	t.offMm = t.CentreMm - target
	// The load and the wheelbase are within bounds: there is no error.
	share, _ := Axles(t.LoadKg, v.AxleMm-t.CentreMm, v.WheelbaseMm)
	t.Axles = &share
}

func (t *Trip) slide(mm float64) {
	for i := range t.Articles {
		t.Articles[i].XMm += mm
	}
	t.CentreMm += mm
}

// centre finds the centre of what is known to weigh something.
func (t *Trip) centre(widthMm float64) {
	if t.LoadKg == 0 {
		return
	}
	along := 0.0
	for _, a := range t.Articles {
		along += a.MassKg * (a.XMm + a.LengthMm/2)
	}
	t.CentreMm = along / t.LoadKg
	t.AsideMm = momentOf(t.Articles, widthMm) / t.LoadKg
}
