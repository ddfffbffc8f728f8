package search

import (
	"slices"
	"strconv"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// Part is a part of a filter, by its field in LotFilter.
type Part string

// The parts of a filter.
const (
	PartWords   Part = "words"
	PartKinds   Part = "kinds"
	PartClasses Part = "classes"
	PartStates  Part = "states"
	PartRegions Part = "regions"
	PartShop    Part = "shop"
	PartNear    Part = "near"
	PartMass    Part = "max_mass_kg"
	PartPrice   Part = "max_price"
	PartSheet   Part = "sheet"
)

// Condition is one thing that a filter asks of a lot, and what came of it.
type Condition struct {
	// Part is what of the filter asks it.
	Part Part
	// Holds tells whether the lot passes it.
	Holds bool
	// Unsaid tells that the lot says nothing of it. It then holds, unless the
	// filter leaves out lots that do not say what it asks.
	Unsaid bool
	// Has and Lacks are, of PartWords, the words that the lot has and lacks: as
	// they were typed where one typed word says it, else as they are looked for.
	Has, Lacks []string
	// Road is, of PartNear, how far the lot is; nil where that is not known or no
	// road leads there.
	Road *place.Road
}

// Explain tells of everything that a filter asks, what came of it for a lot, in a
// set order. near must be resolved, as for Matches: a lot matches where every
// condition holds.
func Explain(f *pb.LotFilter, lot *pb.Lot) []Condition {
	c, facts := Compile(f), Read(lot)
	all := c.explainWords(f.GetWords(), facts)
	all = append(all, c.explainWhat(facts)...)
	if c.withinKm != 0 {
		r := c.reach(facts.columns[columnTown])
		all = append(all, Condition{Part: PartNear, Holds: r.within, Unsaid: facts.columns[columnTown] == "", Road: r.road})
	}
	for _, a := range c.asks {
		answer := a.judge(readFact(a.column, facts.columns[a.column]))
		unsaid := answer == trade.Unknown
		all = append(all, Condition{Part: askParts[a.label], Holds: answer == trade.Yes || unsaid && !c.knownOnly, Unsaid: unsaid})
	}
	return all
}

// askParts are the parts that ask what a lot may leave unsaid.
var askParts = map[string]Part{"weight": PartMass, "price": PartPrice, "sheet": PartSheet}

func (f *Filter) explainWhat(lot *Facts) []Condition {
	var all []Condition
	add := func(asked bool, part Part, ask func(*Filter)) {
		if !asked {
			return
		}
		alone := &Filter{states: []pb.LotState{lot.state}}
		ask(alone)
		all = append(all, Condition{Part: part, Holds: alone.admitsWhat(lot)})
	}
	add(len(f.kinds) > 0, PartKinds, func(alone *Filter) { alone.kinds = f.kinds })
	add(len(f.classes) > 0, PartClasses, func(alone *Filter) { alone.classes = f.classes })
	add(true, PartStates, func(alone *Filter) { alone.states = f.states })
	add(len(f.regions) > 0, PartRegions, func(alone *Filter) { alone.regions = f.regions })
	add(f.shop != "", PartShop, func(alone *Filter) { alone.shop = f.shop })
	return all
}

// explainWords tells of each word by itself. What is asked of all of them
// together, admitsWords and admitsPairs say.
func (f *Filter) explainWords(typed string, lot *Facts) []Condition {
	if len(f.words) == 0 && strings.TrimSpace(typed) == "" {
		return nil
	}
	c := Condition{Part: PartWords, Holds: f.admitsWords(lot) && f.admitsPairs(lot)}
	tell := func(has bool, word string) {
		if has {
			c.Has = append(c.Has, word)
		} else {
			c.Lacks = append(c.Lacks, word)
		}
	}
	for _, word := range f.words {
		tell(lot.words[word], asTyped(word, typed))
	}
	for _, b := range f.beginnings {
		tell(b.amongst(lot.words), b.of+"*")
	}
	if len(f.pairs) > 0 {
		together := lot.sideBySide()
		for _, pair := range f.pairs {
			tell(together[pair], strconv.Quote(pair)+" side by side")
		}
	}
	return []Condition{c}
}

// asTyped is the one typed word that says a token, or else the token.
func asTyped(token, typed string) string {
	for word := range strings.FieldsSeq(typed) {
		if slices.Equal(Analyze(word), []string{token}) {
			return strings.Trim(word, ",.;:()")
		}
	}
	return token
}
