package search

import (
	"cmp"
	"errors"
	"slices"
	"sync"
	"sync/atomic"

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
	// rising tells that a limit lets pass all values up to one, and none after it,
	// but for the first.
	rising bool
}

// loadValues reads a column of a segment.
func loadValues(s segment.Segment, c column) (*values, error) {
	v := &values{of: make([]uint32, s.Count()), different: []fact{readFact(c, "")}}
	err := eachTerm(s, columnFields[c], span{}, func(written string, docs *roaring.Bitmap) {
		which := uint32(len(v.different))
		v.different = append(v.different, readFact(c, written))
		eachDoc(docs, func(doc uint32) { v.of[doc] = which })
	})
	if c == columnMass {
		v.sort(func(a, b fact) int { return cmp.Compare(a.lowKg, b.lowKg) })
	}
	return v, err
}

// sort puts the different values in order, so that few need be judged.
func (v *values) sort(compare func(a, b fact) int) {
	order := make([]uint32, len(v.different))
	for i := range order {
		order[i] = uint32(i)
	}
	slices.SortFunc(order[1:], func(a, b uint32) int { return compare(v.different[a], v.different[b]) })
	sorted, now := make([]fact, len(order)), make([]uint32, len(order))
	for at, was := range order {
		sorted[at], now[was] = v.different[was], uint32(at)
	}
	for doc, was := range v.of {
		v.of[doc] = now[was]
	}
	v.different, v.rising = sorted, true
}

// loadTowns reads which town each document of a segment stands in, by the
// town's number.
func loadTowns(s segment.Segment, towns *townTable) (*townColumn, error) {
	c := &townColumn{of: make([]uint32, s.Count())}
	err := eachTerm(s, columnFields[columnTown], span{}, func(written string, docs *roaring.Bitmap) {
		number := towns.number(written)
		eachDoc(docs, func(doc uint32) { c.of[doc] = number })
	})
	return c, err
}

// postedColumn tells of each document of a segment when it was first posted.
type postedColumn struct {
	of []uint64
	// latest has for every so many documents when the latest was posted of them
	// and of all before them.
	latest []uint64
}

// postedRun is how many documents there are to a number of latest.
const postedRun = 1024

// loadPosted reads when each document of a segment was first posted.
func loadPosted(s segment.Segment) (*postedColumn, error) {
	p := &postedColumn{of: make([]uint64, s.Count())}
	err := eachTerm(s, postedField, span{}, func(digit string, docs *roaring.Bitmap) {
		change := postedOf(digit)
		eachDoc(docs, func(doc uint32) { p.of[doc] += change })
	})
	var latest uint64
	for run := range slices.Chunk(p.of, postedRun) {
		latest = max(latest, slices.Max(run))
		p.latest = append(p.latest, latest)
	}
	return p, err
}

// latestTo is when the latest was posted of the documents up to one, and of some
// more.
func (p *postedColumn) latestTo(doc uint32) uint64 { return p.latest[doc/postedRun] }

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
	read   atomic.Bool // it is there to be used, or cannot be read
	values *values
	towns  *townColumn
	posted *postedColumn
	err    error
}

// entry finds the entry of a field of a segment, or makes it, and sees to it
// that it has been read.
func (c *columnCache) entry(s *scorch.SegmentSnapshot, field string, read func(*columnEntry) error) *columnEntry {
	e := c.find(columnKey{s.Id(), field})
	e.once.Do(func() {
		e.err = errUnread // Stands if the library panics.
		e.err = read(e)
		e.read.Store(true)
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

// have tells whether a field of all scopes' segments has been read.
func (c *columnCache) have(scopes []*scope, field string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return !slices.ContainsFunc(scopes, func(s *scope) bool {
		e := c.entries[columnKey{s.segment.Id(), field}]
		return e == nil || !e.read.Load()
	})
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
func (c *columnCache) townsOf(s *scorch.SegmentSnapshot) (*townColumn, error) {
	e := c.entry(s, columnFields[columnTown], func(e *columnEntry) (err error) {
		e.towns, err = loadTowns(s.Segment(), &c.towns)
		return err
	})
	return e.towns, e.err
}

// postedOf is when each document of a segment was first posted.
func (c *columnCache) postedOf(s *scorch.SegmentSnapshot) (*postedColumn, error) {
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
	g.living.forget(live)
	g.columns.mu.Lock()
	defer g.columns.mu.Unlock()
	for key := range g.columns.entries {
		if !live[key.segment] {
			delete(g.columns.entries, key)
		}
	}
}
