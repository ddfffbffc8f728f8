package standing

import (
	"slices"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// lot is what wants ask of a lot, in the numbers that they ask by.
type lot struct {
	facts *search.Facts
	// texts are the numbers of what the lot says and some want asks for, in order;
	// words are those of them that are words.
	texts, words []uint32
	classes      uint64
	kinds        uint16
	states       uint8
	town         *place.Point
	leastKg      float64
	massKnown    bool
	price        *pb.Money
	currency     uint32
	priceKnown   bool // in a currency that some want names
	space        trade.PrintSpace
	shop         uint32 // by number, and 1
	hints        hints
	roads        *roads
}

// read turns a lot into numbers.
func (w *Wants) read(facts *search.Facts) *lot {
	l := &lot{
		facts: facts, classes: bit(facts.Class()), kinds: uint16(bit(facts.Kind())), states: uint8(bit(facts.State())),
		price: facts.Price(), space: facts.Space(),
	}
	for token := range facts.Words() {
		if n, asked := w.words.numbers[wordText+token]; asked {
			l.words = append(l.words, n)
		}
	}
	l.texts = slices.Clone(l.words)
	for _, region := range facts.Regions() {
		if n, asked := w.words.numbers[regionText+region]; asked {
			l.texts = append(l.texts, n)
		}
	}
	slices.Sort(l.texts)
	if n, asked := w.words.numbers[shopText+facts.Shop()]; asked {
		l.shop = n + 1
	}
	if town, known := facts.Town(); known {
		l.town = &town
	}
	l.leastKg, l.massKnown = facts.LeastKg()
	l.hints = newHints(l.words)
	l.currency, l.priceKnown = w.words.numbers[moneyText+l.price.GetCurrencyCode()]
	return l
}

func (l *lot) has(text uint32) bool {
	_, found := slices.BinarySearch(l.texts, text)
	return found
}

func (l *lot) hasAll(texts []uint32) bool {
	return !slices.ContainsFunc(texts, func(n uint32) bool { return !l.has(n) })
}

// admits is search.Filter.Admits for a want: the same answer, from less.
func (w *Wants) admits(one *want, l *lot) bool {
	more := &noExtra
	if one.more != 0 {
		more = &w.extras.all[one.more-1]
	}
	if more.whole != nil {
		ok, _ := more.whole.Admits(l.facts)
		return ok
	}
	return one.admitsWhat(l) && l.hasAll(one.words[:one.count]) && more.admitsWhat(l) &&
		one.admitsMass(l) && one.admitsPrice(l) && more.admitsSheet(l, one.says) &&
		(one.withinKm == 0 || one.says&saysNear != 0 && w.roadKm(l, one.at) <= one.withinKm)
}

var noExtra extra

func (one *want) admitsWhat(l *lot) bool {
	return one.states&l.states != 0 && (one.kinds == 0 || one.kinds&l.kinds != 0) && (one.classes == 0 || one.classes&l.classes != 0)
}

func (e *extra) admitsWhat(l *lot) bool {
	return l.hasAll(e.words) && (len(e.regions) == 0 || slices.ContainsFunc(e.regions, l.has)) && (e.shop == 0 || e.shop == l.shop)
}

// unsaid is what becomes of a want that asks what the lot does not say.
func (s says) unsaid() bool { return s&saysKnownOnly == 0 }

func (one *want) admitsMass(l *lot) bool {
	if one.says&saysMass == 0 {
		return true
	}
	if !l.massKnown {
		return one.says.unsaid()
	}
	return l.leastKg <= one.mostKg
}

func (one *want) admitsPrice(l *lot) bool {
	if one.says&saysPrice == 0 {
		return true
	}
	if !l.priceKnown || l.currency != one.currency {
		return one.says.unsaid()
	}
	units, nanos := l.price.GetUnits(), l.price.GetNanos()
	return units < one.units || units == one.units && nanos <= one.nanos
}

func (e *extra) admitsSheet(l *lot, s says) bool {
	if e.sheet == nil {
		return true
	}
	can := l.space.Takes(e.sheet)
	return can == trade.Yes || can == trade.Unknown && s.unsaid()
}
