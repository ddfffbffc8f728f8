package place

import "sync"

// originsKept is how many origins are remembered: searches and scores ask for
// the same few towns again and again.
const originsKept = 12

// originCache remembers the origins last asked for.
type originCache struct {
	mu sync.Mutex
	// kept has the last asked for at the end.
	kept []*Origin
}

var origins originCache

// cached is the origin at a point, or nil if it is not remembered.
func (c *originCache) cached(p Point) *Origin {
	c.mu.Lock()
	defer c.mu.Unlock()
	for i, o := range c.kept {
		if o.point == p {
			copy(c.kept[i:], c.kept[i+1:])
			c.kept[len(c.kept)-1] = o
			return o
		}
	}
	return nil
}

// keep remembers an origin, and forgets the one not asked for the longest.
func (c *originCache) keep(o *Origin) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.kept) == originsKept {
		c.kept = append(c.kept[:0], c.kept[1:]...)
	}
	c.kept = append(c.kept, o)
}
