package search

import (
	"slices"
	"sort"
)

// candidate is a document that may be on the page.
type candidate struct {
	key    float64
	posted uint64
	scope  *scope
	index  int // into the scope's docs
	// name is read only where keys and posting are the same, and for hits.
	name string
	// score is filled in for hits.
	score float64
}

// lotName reads the candidate's name.
func (c *candidate) lotName() string {
	if c.name == "" {
		if id, err := c.scope.segment.DocID(uint64(c.scope.docs[c.index])); err == nil {
			c.name = string(id)
		}
	}
	return c.name
}

// before tells whether c comes before d in the order: the greater key first,
// then the later posted, then by name.
func (c *candidate) before(d *candidate) bool {
	if c.key != d.key {
		return c.key > d.key
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
}

func newPage(limit int, after *Position) *page {
	p := &page{limit: limit}
	if after != nil {
		p.after = &candidate{key: after.key, posted: after.posted, name: after.name}
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
}
