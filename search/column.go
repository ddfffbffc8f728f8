package search

import (
	"errors"
	"sync"

	"github.com/blevesearch/bleve/v2/index/scorch"
	segment "github.com/blevesearch/scorch_segment_api/v2"
)

// values is a column of one segment. A column has few different values, so
// that each need be judged or measured only once.
type values struct {
	// of tells for each document which of the different values it has.
	of []uint32
	// different are the different values; the first is the empty one.
	different []string
}

// loadValues reads a column of a segment.
func loadValues(s segment.Segment, c column) (*values, error) {
	v := &values{of: make([]uint32, s.Count()), different: []string{""}}
	seen := map[string]uint32{}
	err := visitColumn(s, c, func(doc uint64, written []byte) {
		which, ok := seen[string(written)]
		if !ok {
			which = uint32(len(v.different))
			v.different = append(v.different, string(written))
			seen[string(written)] = which
		}
		v.of[doc] = which
	})
	return v, err
}

// loadPosted reads when each document of a segment was first posted.
func loadPosted(s segment.Segment) ([]uint64, error) {
	posted := make([]uint64, s.Count())
	err := visitColumn(s, columnPosted, func(doc uint64, written []byte) {
		posted[doc] = readPosted(string(written))
	})
	return posted, err
}

var errUnread = errors.New("a column could not be read")

// visitColumn shows what each document that says anything has in a column. What
// is shown is only good until visit returns.
func visitColumn(s segment.Segment, c column, visit func(doc uint64, written []byte)) error {
	docValues, ok := s.(segment.DocValueVisitable)
	if !ok {
		return errUnread
	}
	fields := []string{columnFields[c]}
	var state segment.DocVisitState
	var err error
	for doc := range s.Count() {
		show := func(_ string, written []byte) { visit(doc, written) }
		if state, err = docValues.VisitDocValues(doc, fields, show, state); err != nil {
			return err
		}
	}
	return nil
}

// columnCache keeps the columns that searches have asked for. A segment never
// changes, so its columns are read once, when they are first asked for.
type columnCache struct {
	mu      sync.Mutex
	entries map[columnKey]*columnEntry
}

// columnKey is a segment, by the library's number for it, and a column of it.
type columnKey struct {
	segment uint64
	column  column
}

// columnEntry is a column that is read, or being read.
type columnEntry struct {
	once   sync.Once
	values *values
	posted []uint64
	err    error
}

// entry finds the entry of a column, or makes it.
func (c *columnCache) entry(key columnKey) *columnEntry {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.entries == nil {
		c.entries = map[columnKey]*columnEntry{}
	}
	e := c.entries[key]
	if e == nil {
		e = &columnEntry{}
		c.entries[key] = e
	}
	return e
}

// valuesOf is a column of a segment.
func (c *columnCache) valuesOf(s *scorch.SegmentSnapshot, col column) (*values, error) {
	e := c.entry(columnKey{s.Id(), col})
	e.once.Do(func() {
		e.err = errUnread // Stands if the library panics.
		e.values, e.err = loadValues(s.Segment(), col)
	})
	return e.values, e.err
}

// postedOf is when each document of a segment was first posted.
func (c *columnCache) postedOf(s *scorch.SegmentSnapshot) ([]uint64, error) {
	e := c.entry(columnKey{s.Id(), columnPosted})
	e.once.Do(func() {
		e.err = errUnread // Stands if the library panics.
		e.posted, e.err = loadPosted(s.Segment())
	})
	return e.posted, e.err
}

// forgetColumns lets go of the columns of segments that are no more.
func (g *generation) forgetColumns() {
	snapshot, err := g.snapshot()
	if err != nil {
		return
	}
	defer func() { _ = snapshot.Close() }()
	live := map[uint64]bool{}
	for _, s := range snapshot.Segments() {
		live[s.Id()] = true
	}
	g.columns.mu.Lock()
	defer g.columns.mu.Unlock()
	for key := range g.columns.entries {
		if !live[key.segment] {
			delete(g.columns.entries, key)
		}
	}
}
