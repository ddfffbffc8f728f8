package main

import (
	"errors"
	"math"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
)

// usualDetour is how many times the straight line a road is, about: SQL knows no
// roads, and looks this much less far.
const usualDetour = 1.2

// question is a search as a database is asked it.
type question struct {
	tokens []string // every one must be there
	// beginning is how one more word must begin; empty: there is none. whole is a
	// word that does instead; empty: there is none.
	beginning, whole string
	kinds            []int
	states           []int
	sheet            *pb.Rectangle
	mostKg           float64 // 0: any
	from             *place.Point
	withinKm         float64 // as the crow flies; 0: any distance
	order            order
	facets           bool
	limit            int
}

type order int

const (
	byNewest order = iota
	byRank
	byDistance
)

// questionOf reads a search. It gives the words to our own analysis, as the lots
// were.
func questionOf(r *pb.SearchLotsRequest) (*question, error) {
	f := r.GetFilter()
	q := &question{sheet: f.GetSheet(), mostKg: f.GetMaxMassKg(), facets: r.GetFacets(), limit: pageOf(r), states: []int{int(pb.LotState_LOT_STATE_OFFERED)}}
	if len(f.GetStates()) > 0 {
		q.states = nil
	}
	for _, s := range f.GetStates() {
		q.states = append(q.states, int(s))
	}
	for _, k := range f.GetKinds() {
		q.kinds = append(q.kinds, int(k))
	}
	if err := q.readWords(f.GetWords()); err != nil {
		return nil, err
	}
	if p := f.GetNear().GetPoint(); p != nil {
		from := pointOf(p)
		q.from = &from
		q.withinKm = f.GetNear().GetWithinRoadKm() / usualDetour
	}
	q.order = q.orderOf(r.GetOrder())
	return q, nil
}

// readWords reads whole words, and one that ends in a star.
func (q *question) readWords(text string) error {
	var whole []string
	for word := range strings.FieldsSeq(text) {
		begin, starred := strings.CutSuffix(word, "*")
		if !starred {
			whole = append(whole, word)
			continue
		}
		if q.beginning != "" {
			return errors.New("only one word may end in a star")
		}
		q.beginning = begin
		if folded := search.Analyze(begin); len(folded) == 1 && !strings.HasPrefix(folded[0], begin) {
			q.whole = folded[0]
		}
	}
	q.tokens = search.Analyze(strings.Join(whole, " "))
	return nil
}

func (q *question) hasWords() bool { return len(q.tokens) > 0 || q.beginning != "" }

// orderOf is what an order comes down to, as heirpress has it.
func (q *question) orderOf(o pb.LotOrder) order {
	switch {
	case o == pb.LotOrder_LOT_ORDER_NEWEST:
		return byNewest
	case o == pb.LotOrder_LOT_ORDER_NEAREST:
		return byDistance
	case q.hasWords():
		return byRank
	case q.from != nil:
		return byDistance
	}
	return byNewest
}

// cosine is what the sum of products of two points on a ball is at least where
// they are no further apart.
func cosine(km float64) float64 { return math.Cos(min(km/place.EarthRadiusKm, math.Pi)) }

// box is degrees that hold everything within a distance of a point.
func box(p place.Point, km float64) (south, north, west, east float64) {
	const kmPerDegree = place.EarthRadiusKm * math.Pi / 180
	up := km/kmPerDegree + 1e-4
	south, north = p.Lat-up, p.Lat+up
	if north >= 90 || south <= -90 || km >= kmPerDegree*90 {
		return south, north, -180, 180
	}
	// The circle is widest above the point's own latitude.
	across := math.Asin(min(1, math.Sin(km/place.EarthRadiusKm)/math.Cos(p.Lat*math.Pi/180)))*180/math.Pi + 1e-4
	return south, north, p.Lng - across, p.Lng + across
}
