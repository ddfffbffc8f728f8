package search

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"sync/atomic"

	"github.com/RoaringBitmap/roaring/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"
)

// Search answers a query. It returns *InvalidError for a query that cannot be
// answered as it is, ErrDamaged when the index is found damaged, and ctx's error
// when that is done first.
func (x *Index) Search(ctx context.Context, q Query) (*Result, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	filter := Compile(q.Filter)
	ranked := rankingOf(q.Order, filter)
	if q.After != nil && q.After.ranking != ranked {
		return nil, &InvalidError{Violations: []Violation{{"after", "is a position in another order"}}}
	}
	g, err := x.enter(ctx)
	if err != nil {
		return nil, err
	}
	defer x.leave(g)
	r := &run{generation: g, query: q, filter: filter, ranked: ranked}
	result, err := r.search(ctx)
	if err != nil && ctx.Err() == nil {
		return nil, g.trouble(err)
	}
	return result, err
}

// run is one search under way.
type run struct {
	generation *generation
	query      Query
	filter     *Filter
	ranked     ranking
	survey     *survey
	scopes     []*scope // the largest first
	all        uint64   // lots in the index
	// walked are the towns that hold the nearest, where those were looked for town by
	// town.
	walked   []uint32
	rarities *rarities
}

// rarities stand beside the filter's words and beginnings, and its hints.
type rarities struct{ words, hints []float64 }

// search goes from the cheapest to the dearest: bitmaps, columns, scores, and
// names only for the page.
func (r *run) search(ctx context.Context) (result *Result, err error) {
	defer recoverAs(&err)
	snapshot, err := r.generation.snapshot()
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, snapshot.Close()) }()
	change, err := readChange(snapshot)
	if err != nil {
		return nil, err
	}
	defer r.release()
	if err := r.find(ctx, snapshot); err != nil {
		return nil, err
	}
	page, err := r.rank(ctx)
	if err != nil {
		return nil, err
	}
	if result, err = r.result(page, change); err == nil && r.query.Facets {
		result.Facets, err = r.facets(ctx)
	}
	return result, err
}

func (r *run) release() {
	for _, s := range r.scopes {
		s.release()
	}
}

// find fills the scopes with the documents that pass the filter.
func (r *run) find(ctx context.Context, snapshot *scorch.IndexSnapshot) error {
	var cells []string
	if r.filter.near != nil && r.filter.withinKm > 0 {
		cells = cover(*r.filter.near, r.filter.straightKm())
	}
	for _, segment := range snapshot.Segments() {
		r.scopes = append(r.scopes, &scope{segment: segment})
		r.all += segment.Count()
	}
	slices.SortStableFunc(r.scopes, func(a, b *scope) int { return cmp.Compare(b.segment.Count(), a.segment.Count()) })
	if err := r.lookAbout(ctx); err != nil {
		return err
	}
	return r.each(ctx, func(s *scope) error {
		of, err := r.generation.living.in(s, r.filter.states)
		if err != nil {
			return err
		}
		if err := s.lookUp(r.filter, of); err != nil {
			return err
		}
		if err := s.keepIn(cells); err != nil {
			return err
		}
		return s.narrow(r.generation, r.survey)
	})
}

// looks tells whether the nearest are listed from the first on.
func (r *run) looks() bool {
	return r.ranked == byDistance && r.query.After == nil && r.query.Limit > 0 && r.filter.near != nil
}

// lookAbout reads which towns there are, where the filter has a place.
func (r *run) lookAbout(ctx context.Context) error {
	columns := &r.generation.columns
	read := func(s *scope) (err error) {
		s.towns, err = columns.townsOf(s.segment)
		return err
	}
	var err error
	switch {
	case r.filter.near == nil:
	case columns.have(r.scopes, columnFields[columnTown]):
		err = inTurn(ctx, r.scopes, new(atomic.Int64), read)
	default:
		err = r.each(ctx, read)
	}
	r.survey = newSurvey(r.filter, &columns.towns)
	return err
}

// rank puts the found documents in order, one more than the page has, which
// tells whether there is another page.
func (r *run) rank(ctx context.Context) (*page, error) {
	if r.query.Limit == 0 {
		return newPage(0, nil), nil
	}
	if err := r.rare(ctx); err != nil {
		return nil, err
	}
	if r.looks() {
		r.look()
	}
	pages := shelf{limit: r.query.Limit + 1, after: r.query.After}
	err := r.each(ctx, func(s *scope) (err error) {
		if s.count() == 0 {
			return nil
		}
		if s.posted, err = r.generation.columns.postedOf(s.segment); err != nil {
			return err
		}
		if r.walked == nil {
			s.list()
		}
		if r.ranked == byScore {
			s.mark(r.filter, r.rarities)
		}
		own := pages.take()
		r.best(s, own)
		pages.give(own)
		return nil
	})
	return pages.merged(), err
}

// rare tells how rare each word and hint of the filter is in the whole index.
func (r *run) rare(ctx context.Context) error {
	var err error
	if len(r.filter.hints) > 0 {
		err = r.each(ctx, func(s *scope) error { return s.lookUpHints(r.filter.hints) })
	}
	r.rarities = &rarities{
		words: r.rareIn(len(r.filter.words)+len(r.filter.beginnings), func(s *scope, i int) *roaring.Bitmap { return s.words[i].any }),
		hints: r.rareIn(len(r.filter.hints), func(s *scope, i int) *roaring.Bitmap { return s.hints[i] }),
	}
	return err
}

// rareIn tells how rare each of n terms is, given the documents that have it.
func (r *run) rareIn(n int, documents func(*scope, int) *roaring.Bitmap) []float64 {
	var list []float64
	for i := range n {
		var having uint64
		for _, s := range r.scopes {
			having += s.live(documents(s, i))
		}
		list = append(list, rarity(having, r.all))
	}
	return list
}
