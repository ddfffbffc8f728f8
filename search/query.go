package search

import (
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// Query is a search for lots.
type Query struct {
	// Filter is which lots; near must be resolved, its point set. Nil: every
	// offered lot.
	Filter *pb.LotFilter
	// Order is how hits are ordered. Unspecified means best.
	Order pb.LotOrder
	// Limit is the most hits to return. 0 asks for the total alone.
	Limit int
	// After is the position of the last hit of the page before, or nil.
	After *Position
	// Facets asks to count all that was found by kind, class, region and state.
	Facets bool
}

// Hit is one lot found.
type Hit struct {
	// Name is the lot's resource name.
	Name string
	// Score is how well the words match; 0 without words.
	Score float64
	// Road is the way from near, or nil where there is no near, the lot has no
	// town, or no road leads there.
	Road *place.Road
	// StraightKm is the great-circle distance from near, or 0 where either end
	// is not known.
	StraightKm float64
	// Unknown is what the filter asks and the lot does not say: "weight",
	// "price", "sheet", in that order.
	Unknown []string
	// Position is where the hit stands in the order, for the page after it.
	Position Position
}

// Result is a page of hits.
type Result struct {
	// Hits are in the order asked.
	Hits []Hit
	// Total is how many lots pass the filter, on all pages.
	Total int
	// Change is the change number up to which every write was searched.
	Change uint64
	// More tells whether there is a page after this one.
	More bool
	// Facets counts all hits, on all pages, where the query asks for it.
	Facets *pb.Facets
}

// ranking is what the hits of a query are ordered by.
type ranking byte

const (
	byScore    ranking = 1 // best match first, then nearest, then newest
	byDistance ranking = 2 // fewest road kilometres first, then newest
	byNewest   ranking = 3 // latest posted first
)

// rankingOf tells what an order comes down to for a filter.
func rankingOf(order pb.LotOrder, f *Filter) ranking {
	switch {
	case order == pb.LotOrder_LOT_ORDER_NEWEST:
		return byNewest
	case order == pb.LotOrder_LOT_ORDER_NEAREST:
		return byDistance
	case len(f.words) > 0 || len(f.beginnings) > 0:
		return byScore
	case f.near != nil:
		return byDistance
	}
	return byNewest
}

// check returns *InvalidError for a query that cannot be answered.
func (q *Query) check() error {
	v := violations(Validate(q.Filter))
	near := q.Filter.GetNear()
	v.require(near == nil || near.GetPoint() != nil, "near.point", "has not been looked up")
	v.require(q.Order != pb.LotOrder_LOT_ORDER_NEAREST || near != nil, "near", "is needed for the nearest first")
	v.require(pb.LotOrder_name[int32(q.Order)] != "", "order", "there is no %d", q.Order)
	v.require(q.Limit >= 0, "limit", "must be at least 0, not %d", q.Limit)
	if len(v) > 0 {
		return &InvalidError{Violations: v}
	}
	return nil
}
