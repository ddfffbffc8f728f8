package search

import (
	"slices"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// Filter is a LotFilter made ready to be put to many lots. It is for reading
// only, and may be used by many goroutines at once.
type Filter struct {
	words []string // each once
	// beginnings are words of which only the beginning was given: plat*.
	beginnings []beginning
	pairs      []string // words that must stand side by side
	hints      []hint   // what more makes a match of the words the better
	kinds      []pb.Kind
	classes    []pb.Class
	states     []pb.LotState // never empty
	regions    []string
	shop       string
	near       *place.Point
	// withinKm is how far by road; 0 means any distance. With a reach and no
	// point to measure it from, a filter admits nothing.
	withinKm  float64
	asks      []ask
	knownOnly bool
}

// ask is a question about a fact that a lot may leave unsaid.
type ask struct {
	column column
	// label is what the fact is called where a lot does not say it.
	label string
	// judge answers for what the column says.
	judge func(fact) trade.Answer
}

// Compile makes a filter ready. near must be resolved: its point set. A reach
// about a place that nobody has looked up admits no lot. A nil filter is the empty
// one: it admits every offered lot.
func Compile(f *pb.LotFilter) *Filter {
	if f == nil {
		f = &pb.LotFilter{}
	}
	whole, beginnings := partBeginnings(f.GetWords())
	whole, phrases := partPhrases(whole)
	asked := theVocabulary().analyze(whole)
	c := &Filter{
		words:      unique(asked.tokens),
		beginnings: beginnings,
		pairs:      pairsAsked(phrases),
		hints:      hintsOf(asked),
		kinds:      f.GetKinds(),
		classes:    f.GetClasses(),
		states:     f.GetStates(),
		regions:    f.GetRegions(),
		shop:       f.GetShop(),
		withinKm:   f.GetNear().GetWithinRoadKm(),
		asks:       asks(f),
		knownOnly:  f.GetKnownOnly(),
	}
	if len(c.states) == 0 {
		c.states = []pb.LotState{pb.LotState_LOT_STATE_OFFERED}
	}
	if p := f.GetNear().GetPoint(); p != nil {
		c.near = &place.Point{Lat: p.GetLatitude(), Lng: p.GetLongitude()}
	}
	return c
}

// asks lists the questions of a filter, in the order hits name what is unknown.
func asks(f *pb.LotFilter) []ask {
	var list []ask
	if f.MaxMassKg != nil {
		most := f.GetMaxMassKg()
		list = append(list, ask{columnMass, "weight", func(f fact) trade.Answer { return answer(f.known, f.lowKg <= most) }})
	}
	if limit := f.GetMaxPrice(); limit != nil {
		list = append(list, ask{columnPrice, "price", func(f fact) trade.Answer {
			return answer(f.price.GetCurrencyCode() == limit.GetCurrencyCode(), !less(limit, f.price))
		}})
	}
	if sheet := f.GetSheet(); sheet != nil {
		list = append(list, ask{columnPress, "sheet", func(f fact) trade.Answer { return f.space.Takes(sheet) }})
	}
	return list
}

func answer(known, yes bool) trade.Answer {
	switch {
	case !known:
		return trade.Unknown
	case yes:
		return trade.Yes
	}
	return trade.No
}

// less tells whether a is the smaller of two amounts in one currency.
func less(a, b *pb.Money) bool {
	if a.GetUnits() != b.GetUnits() {
		return a.GetUnits() < b.GetUnits()
	}
	return a.GetNanos() < b.GetNanos()
}

// Matches tells whether a lot passes a filter whose near is resolved, and what
// the filter asks that the lot does not say: "weight", "price", "sheet". It is
// the meaning of LotFilter: what an Index finds is what this lets pass.
func Matches(f *pb.LotFilter, lot *pb.Lot) (ok bool, unknown []string) {
	return Compile(f).Matches(lot)
}

// Matches tells whether a lot passes, and what it does not say.
func (f *Filter) Matches(lot *pb.Lot) (ok bool, unknown []string) { return f.Admits(Read(lot)) }

// Admits is Matches for a lot that has been read.
func (f *Filter) Admits(lot *Facts) (ok bool, unknown []string) {
	if !f.admitsWhat(lot) || !f.admitsWords(lot) || !f.admitsPairs(lot) || !f.reaches(lot.columns[columnTown]) {
		return false, nil
	}
	for _, a := range f.asks {
		switch a.judge(readFact(a.column, lot.columns[a.column])) {
		case trade.No:
			return false, nil
		case trade.Unknown:
			if f.knownOnly {
				return false, nil
			}
			unknown = append(unknown, a.label)
		}
	}
	return true, unknown
}

// admitsWhat asks for kind, class, state, region and shop.
func (f *Filter) admitsWhat(lot *Facts) bool {
	return slices.Contains(f.states, lot.state) &&
		(len(f.kinds) == 0 || slices.Contains(f.kinds, lot.kind)) &&
		(len(f.classes) == 0 || slices.Contains(f.classes, lot.class)) &&
		(len(f.regions) == 0 || slices.ContainsFunc(lot.regions, func(r string) bool { return slices.Contains(f.regions, r) })) &&
		(f.shop == "" || f.shop == ShopOf(lot.name))
}

// admitsWords asks for every word, and for one that begins with each beginning.
func (f *Filter) admitsWords(lot *Facts) bool {
	for _, word := range f.words {
		if !lot.words[word] {
			return false
		}
	}
	for _, b := range f.beginnings {
		if !b.amongst(lot.words) {
			return false
		}
	}
	return true
}

// reaches tells whether a town is within the filter's reach. What is too far in a
// straight line is too far, and needs no search for a road.
func (f *Filter) reaches(town string) bool {
	if f.near == nil || f.withinKm == 0 {
		return f.withinKm == 0
	}
	point, known := readTown(town)
	return known && place.GreatCircleKm(*f.near, point) <= f.straightKm() && f.reach(town).within
}

// reach is how far a town is, and whether that is within the filter's reach.
type reach struct {
	within     bool
	straightKm float64
	// road is nil where the distance is not known, or where no road leads there.
	road *place.Road
}

// reach measures the way to a town as its column has it.
func (f *Filter) reach(town string) reach {
	if f.near == nil {
		return reach{within: f.withinKm == 0}
	}
	point, known := readTown(town)
	if !known {
		return reach{within: f.withinKm == 0}
	}
	// The ways are found from the lot's town: one lot is held against many wants.
	return f.reachOf(point, place.RoadKm(point, *f.near))
}

// reachOf is how far a point is, where the filter has a place, and the road there.
func (f *Filter) reachOf(point place.Point, road place.Road) reach {
	r := reach{straightKm: place.GreatCircleKm(*f.near, point)}
	if !road.None {
		r.road = &road
	}
	r.within = f.withinKm == 0 || (r.road != nil && r.road.Km <= f.withinKm)
	return r
}

// straightKm is how far, in a straight line, a town within reach can be.
func (f *Filter) straightKm() float64 { return f.withinKm / place.MinCircuity() }

// unique leaves out what was there before.
func unique(words []string) []string {
	var once []string
	for _, word := range words {
		if !slices.Contains(once, word) {
			once = append(once, word)
		}
	}
	return once
}
