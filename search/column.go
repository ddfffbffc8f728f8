package search

import (
	"errors"
	"sync"

	"github.com/RoaringBitmap/roaring/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"
	segment "github.com/blevesearch/scorch_segment_api/v2"
)

// values is a column of one segment. A column has few different values, so
// that each need be read and judged only once.
type values struct {
	// of tells for each document which of the different values it has.
	of []uint32
	// different are the different values; the first is that nothing is said.
	different []fact
}

// loadValues reads a column of a segment.
func loadValues(s segment.Segment, c column) (*values, error) {
	v := &values{of: make([]uint32, s.Count()), different: []fact{readFact(c, "")}}
	err := eachTerm(s, columnFields[c], span{}, func(written string, docs *roaring.Bitmap) {
		which := uint32(len(v.different))
		v.different = append(v.different, readFact(c, written))
		eachDoc(docs, func(doc uint32) { v.of[doc] = which })
	})
	return v, err
}

// loadTowns reads which town each document of a segment stands in, by the
// town's number.
func loadTowns(s segment.Segment, towns *townTable) ([]uint32, error) {
	of := make([]uint32, s.Count())
	err := eachTerm(s, columnFields[columnTown], span{}, func(written string, docs *roaring.Bitmap) {
		number := towns.number(written)
		eachDoc(docs, func(doc uint32) { of[doc] = number })
	})
	return of, err
}

// loadPosted reads when each document of a segment was first posted.
func loadPosted(s segment.Segment) ([]uint64, error) {
	posted := make([]uint64, s.Count())
	err := eachTerm(s, postedField, span{}, func(digit string, docs *roaring.Bitmap) {
		change := postedOf(digit)
		eachDoc(docs, func(doc uint32) { posted[doc] += change })
	})
	return posted, err
}

// eachDoc shows every document of a bitmap, in order.
func eachDoc(docs *roaring.Bitmap, visit func(uint32)) {
	var buffer [256]uint32
	for all := docs.ManyIterator(); ; {
		n := all.NextMany(buffer[:])
		if n == 0 {
			return
		}
		for _, doc := range buffer[:n] {
			visit(doc)
		}
	}
}

var errUnread = errors.New("a column could not be read")

// columnCache keeps the columns that searches have asked for. A segment never
// changes, so its columns are read once, when they are first asked for.
type columnCache struct {
	towns townTable

	mu      sync.Mutex
	entries map[columnKey]*columnEntry
}

// columnKey is a segment, by the library's number for it, and a field of it.
type columnKey struct {
	segment uint64
	field   string
}

// columnEntry is a column that is read, or being read.
type columnEntry struct {
	once   sync.Once
	values *values
	towns  []uint32
	posted []uint64
	err    error
}

// entry finds the entry of a field of a segment, or makes it, and sees to it
// that it has been read.
func (c *columnCache) entry(s *scorch.SegmentSnapshot, field string, read func(*columnEntry) error) *columnEntry {
	e := c.find(columnKey{s.Id(), field})
	e.once.Do(func() {
		e.err = errUnread // Stands if the library panics.
		e.err = read(e)
	})
	return e
}

func (c *columnCache) find(key columnKey) *columnEntry {
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
	e := c.entry(s, columnFields[col], func(e *columnEntry) (err error) {
		e.values, err = loadValues(s.Segment(), col)
		return err
	})
	return e.values, e.err
}

// townsOf is the number of the town of each document of a segment.
func (c *columnCache) townsOf(s *scorch.SegmentSnapshot) ([]uint32, error) {
	e := c.entry(s, columnFields[columnTown], func(e *columnEntry) (err error) {
		e.towns, err = loadTowns(s.Segment(), &c.towns)
		return err
	})
	return e.towns, e.err
}

// postedOf is when each document of a segment was first posted.
func (c *columnCache) postedOf(s *scorch.SegmentSnapshot) ([]uint64, error) {
	e := c.entry(s, postedField, func(e *columnEntry) (err error) {
		e.posted, err = loadPosted(s.Segment())
		return err
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
