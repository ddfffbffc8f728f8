package search

import (
	"math"
	"slices"
	"sort"
)

// candidate is a document that may be on the page.
type candidate struct {
	key float64
	// near tells apart what has the same key: kilometres below zero, or 0.
	near   float64
	posted uint64
	scope  *scope
	doc    uint32
	// name is read only where keys and posting are the same, and for hits.
	name string
	// score is filled in for hits.
	score float64
}

// lotName reads the candidate's name.
func (c *candidate) lotName() string {
	if c.name == "" {
		if id, err := c.scope.segment.DocID(uint64(c.doc)); err == nil {
			c.name = string(id)
		}
	}
	return c.name
}

// before tells whether c comes before d in the order: the greater key first,
// then the nearer, then the later posted, then by name.
func (c *candidate) before(d *candidate) bool {
	if c.key != d.key {
		return c.key > d.key
	}
	if c.near != d.near {
		return c.near > d.near
	}
	if c.posted != d.posted {
		return c.posted > d.posted
	}
	return c.lotName() < d.lotName()
}

// page keeps the first so many candidates that come after a position.
type page struct {
	after *candidate
	limit int
	kept  []*candidate // in order
	// floor and latest are the key and the posting of the last one kept, once
	// the page is full: what has a lesser key, or was posted earlier with the
	// same keys, need not be offered.
	floor  float64
	latest uint64
}

func newPage(limit int, after *Position) *page {
	p := &page{limit: limit, floor: math.Inf(-1)}
	if after != nil {
		p.after = &candidate{key: after.key, near: after.near, posted: after.posted, name: after.name}
	}
	return p
}

// offer takes a candidate if it belongs on the page so far.
func (p *page) offer(c candidate) {
	full := len(p.kept) == p.limit
	if full && (p.limit == 0 || !c.before(p.kept[p.limit-1])) {
		return
	}
	if p.after != nil && !p.after.before(&c) {
		return
	}
	if full {
		p.kept = p.kept[:p.limit-1]
	}
	at := sort.Search(len(p.kept), func(i int) bool { return c.before(p.kept[i]) })
	p.kept = slices.Insert(p.kept, at, &c)
	if len(p.kept) == p.limit {
		last := p.kept[p.limit-1]
		p.floor, p.latest = last.key, last.posted
	}
}
