package search

import (
	"errors"

	"github.com/RoaringBitmap/roaring/v2"

	"heirpress/search/trade"
)

// result makes the answer of a page.
func (r *run) result(p *page, change uint64) (*Result, error) {
	result := &Result{Change: change}
	for _, s := range r.scopes {
		result.Total += s.count()
	}
	first := p.kept
	if len(first) > r.query.Limit {
		first, result.More = first[:r.query.Limit], true
	}
	r.scoreHits(first)
	for _, c := range first {
		hit, err := r.hit(c)
		if err != nil {
			return nil, err
		}
		result.Hits = append(result.Hits, hit)
	}
	return result, nil
}

// scoreHits fills in the scores of hits, which another order has not needed.
func (r *run) scoreHits(hits []*candidate) {
	for _, c := range hits {
		if r.ranked == byScore {
			c.score = c.key
			continue
		}
		alone := &scope{segment: c.scope.segment, words: c.scope.words, hints: c.scope.hints, found: roaring.BitmapOf(c.doc), docs: []uint32{c.doc}}
		alone.mark(r.filter, r.rarities)
		c.score = alone.scores[0]
	}
}

// hit makes a hit of a candidate.
func (r *run) hit(c *candidate) (Hit, error) {
	h := Hit{Name: c.lotName(), Score: c.score}
	if h.Name == "" {
		return Hit{}, errors.New("a document without a name")
	}
	h.Position = Position{ranking: r.ranked, key: c.key, near: c.near, posted: c.posted, name: h.Name}
	if r.filter.near != nil {
		way := r.survey.reach(c.scope.towns.of[c.doc])
		h.Road, h.StraightKm = way.road, way.straightKm
	}
	for _, a := range r.filter.asks {
		column, err := r.generation.columns.valuesOf(c.scope.segment, a.column)
		if err != nil {
			return Hit{}, err
		}
		if a.judge(column.different[column.of[c.doc]]) == trade.Unknown {
			h.Unknown = append(h.Unknown, a.label)
		}
	}
	return h, nil
}
