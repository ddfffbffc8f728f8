package search

import (
	"context"
	"errors"
	"math"

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
	g, err := x.use()
	if err != nil {
		return nil, err
	}
	defer g.users.Done()
	r := &run{
		generation: g, query: q, filter: filter, ranked: ranked,
		survey: &survey{filter: filter, reaches: map[string]reach{}},
	}
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
	scopes     []*scope
	all        uint64 // lots in the index
	rarities   *rarities
}

// rarities stand beside the filter's words and hints.
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

// find fills the scopes with the documents that pass the filter.
func (r *run) find(ctx context.Context, snapshot *scorch.IndexSnapshot) error {
	var cells []string
	if r.filter.near != nil && r.filter.withinKm > 0 {
		cells = cover(*r.filter.near, r.filter.straightKm())
	}
	for _, segment := range snapshot.Segments() {
		if err := ctx.Err(); err != nil {
			return err
		}
		s := &scope{segment: segment}
		r.all += uint64(segment.Count())
		if err := s.lookUp(r.filter, cells); err != nil {
			return err
		}
		if err := s.narrow(r.generation, r.survey); err != nil {
			return err
		}
		r.scopes = append(r.scopes, s)
	}
	return nil
}

// rank puts the found documents in order, one more than the page has, which
// tells whether there is another page.
func (r *run) rank(ctx context.Context) (*page, error) {
	limit := 0
	if r.query.Limit > 0 {
		limit = r.query.Limit + 1
	}
	p := newPage(limit, r.query.After)
	if limit == 0 {
		return p, nil
	}
	var err error
	if r.rarities, err = r.rare(); err != nil {
		return nil, err
	}
	for _, s := range r.scopes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if len(s.docs) == 0 {
			continue
		}
		if err := r.prepare(s); err != nil {
			return nil, err
		}
		for i, doc := range s.docs {
			p.offer(candidate{key: r.key(s, i), posted: s.posted[doc], scope: s, index: i})
		}
	}
	return p, nil
}

// rare tells how rare each word and hint of the filter is in the whole index.
func (r *run) rare() (*rarities, error) {
	for _, s := range r.scopes {
		if err := s.lookUpHints(r.filter.hints); err != nil {
			return nil, err
		}
	}
	return &rarities{
		words: r.rareIn(len(r.filter.words), func(s *scope) []*roaring.Bitmap { return s.words }),
		hints: r.rareIn(len(r.filter.hints), func(s *scope) []*roaring.Bitmap { return s.hints }),
	}, nil
}

// rareIn tells how rare each of n terms is, given the documents that have it.
func (r *run) rareIn(n int, documents func(*scope) []*roaring.Bitmap) []float64 {
	var list []float64
	for i := range n {
		var having uint64
		for _, s := range r.scopes {
			having += s.live(documents(s)[i])
		}
		list = append(list, rarity(having, r.all))
	}
	return list
}

// prepare reads what ranking a scope's documents needs.
func (r *run) prepare(s *scope) (err error) {
	if s.posted, err = r.generation.columns.postedOf(s.segment); err != nil {
		return err
	}
	if r.filter.near != nil {
		if s.towns, err = r.generation.columns.valuesOf(s.segment, columnTown); err != nil {
			return err
		}
		s.ways = make([]*reach, len(s.towns.different))
	}
	if r.ranked == byScore {
		return s.score(r.filter, r.rarities)
	}
	return nil
}

// key is what a document is ordered by before the time it was posted.
func (r *run) key(s *scope, i int) float64 {
	switch r.ranked {
	case byScore:
		return s.scores[i]
	case byDistance:
		if road := r.reach(s, i).road; road != nil {
			return -road.Km
		}
		return math.Inf(-1)
	}
	return 0
}

// reach is how far a document's town is.
func (r *run) reach(s *scope, i int) *reach {
	which := s.towns.of[s.docs[i]]
	if s.ways[which] == nil {
		way := r.survey.reach(s.towns.different[which])
		s.ways[which] = &way
	}
	return s.ways[which]
}
