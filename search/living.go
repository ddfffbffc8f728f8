package search

import (
	"sync"

	"github.com/RoaringBitmap/roaring/v2"

	pb "heirpress/proto/heirpress/v1"
)

// livingCache remembers which documents of a segment are in a state, and not
// deleted: nearly every search begins with the offered ones.
type livingCache struct {
	mu      sync.Mutex
	entries map[livingKey]living
}

// anyState stands for all states.
const anyState pb.LotState = -1

// livingKey is a segment, by the library's number for it, and a state.
type livingKey struct {
	segment uint64
	state   pb.LotState
}

// living is what was found when so many documents had been deleted. Of a segment
// no deletion is ever undone.
type living struct {
	deleted uint64
	docs    *roaring.Bitmap
}

// in is the documents of a segment that are in any of the states, or in any state
// where none is named, and not deleted. The bitmap must not be changed.
func (c *livingCache) in(s *scope, states []pb.LotState) (*roaring.Bitmap, error) {
	if len(states) == 0 {
		return c.inOne(s, anyState)
	}
	var all []*roaring.Bitmap
	for _, state := range states {
		docs, err := c.inOne(s, state)
		if err != nil {
			return nil, err
		}
		all = append(all, docs)
	}
	return union(all), nil
}

func (c *livingCache) inOne(s *scope, state pb.LotState) (*roaring.Bitmap, error) {
	key := livingKey{s.segment.Id(), state}
	var deleted uint64
	if all := s.segment.Deleted(); all != nil {
		deleted = all.GetCardinality()
	}
	if known, ok := c.get(key); ok && known.deleted == deleted {
		return known.docs, nil
	}
	docs, err := s.livingIn(state)
	if err != nil {
		return nil, err
	}
	c.put(key, living{deleted, docs})
	return docs, nil
}

func (c *livingCache) get(key livingKey) (living, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	known, ok := c.entries[key]
	return known, ok
}

func (c *livingCache) put(key livingKey, l living) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.entries == nil {
		c.entries = map[livingKey]living{}
	}
	c.entries[key] = l
}

// forget lets go of the segments that are no more.
func (c *livingCache) forget(live map[uint64]bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for key := range c.entries {
		if !live[key.segment] {
			delete(c.entries, key)
		}
	}
}

// livingIn reads what livingCache remembers. The bitmap is the caller's own: none
// of it is in the library's memory, which goes with the segment.
func (s *scope) livingIn(state pb.LotState) (*roaring.Bitmap, error) {
	docs := roaring.New()
	if state == anyState {
		docs.AddRange(0, s.segment.Segment().Count())
	} else {
		having, err := having(s.segment, fieldTerm{isField, stateTerm(state)})
		if err != nil {
			return nil, err
		}
		docs.Or(having)
	}
	docs.CloneCopyOnWriteContainers()
	if deleted := s.segment.Deleted(); deleted != nil {
		docs.AndNot(deleted)
	}
	return docs, nil
}
