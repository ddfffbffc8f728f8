package search

import (
	"container/heap"
	"context"
	"sync"

	"heirpress/search/place"
)

// To list the nearest, the way to far towns need not be known. look finds the
// way to as many towns as hold enough of what was found, from the nearest in a
// straight line outward, until no town further out can be nearer by road. Lots
// in towns that have no way then are beyond the page.
func (r *run) look(ctx context.Context, enough int) error {
	counts, err := r.countTowns(ctx)
	if err != nil {
		return err
	}
	out := r.outward(counts)
	near := &nearest{enough: enough, kept: make([]stop, 0, enough)}
	for len(out) > 0 && !near.isCertain(out[0].km) {
		next := heap.Pop(&out).(stop)
		near.add(stop{km: r.survey.roadKm(next.town), lots: next.lots})
	}
	if !near.isFull() {
		r.survey.roadKm(0) // What is in no town comes last, and is on the page too.
	}
	return nil
}

// countTowns counts what was found town by town, by the towns' numbers.
func (r *run) countTowns(ctx context.Context) ([]uint32, error) {
	var mu sync.Mutex
	all := make([]uint32, len(r.survey.ways))
	err := r.each(ctx, func(s *scope) error {
		s.list()
		own := make([]uint32, len(all))
		for _, doc := range s.docs {
			own[s.towns[doc]]++
		}
		mu.Lock()
		defer mu.Unlock()
		for town, n := range own {
			all[town] += n
		}
		return nil
	})
	return all, err
}

// stop is a town, how far it is, and how many lots were found in it.
type stop struct {
	km   float64
	town uint32
	lots int
}

// outward is a heap of the towns in which anything was found, the nearest in a
// straight line on top.
func (r *run) outward(counts []uint32) stops {
	var all stops
	for town := 1; town < len(counts); town++ {
		if counts[town] > 0 {
			all = append(all, stop{r.survey.origin.StraightKm(r.survey.towns[town].spot), uint32(town), int(counts[town])})
		}
	}
	heap.Init(&all)
	return all
}

// stops is a heap of towns, the nearest on top.
type stops []stop

func (s stops) Len() int           { return len(s) }
func (s stops) Less(i, j int) bool { return s[i].km < s[j].km }
func (s stops) Swap(i, j int)      { s[i], s[j] = s[j], s[i] }

// Push adds a town.
func (s *stops) Push(x any) { *s = append(*s, x.(stop)) }

// Pop takes the last town.
func (s *stops) Pop() any {
	last := (*s)[len(*s)-1]
	*s = (*s)[:len(*s)-1]
	return last
}

// nearest keeps the nearest towns by road that hold enough lots.
type nearest struct {
	enough int
	kept   []stop // the nearest first
	lots   int    // in kept, of towns that a road leads to
}

// add takes a town in, and lets go of those that are not needed beside it.
func (n *nearest) add(s stop) {
	if s.km > maxWayKm {
		return
	}
	at := len(n.kept)
	for at > 0 && n.kept[at-1].km > s.km {
		at--
	}
	n.kept = append(n.kept, stop{})
	copy(n.kept[at+1:], n.kept[at:])
	n.kept[at] = s
	n.lots += s.lots
	for last := len(n.kept) - 1; last > 0 && n.lots-n.kept[last].lots >= n.enough; last-- {
		n.lots -= n.kept[last].lots
		n.kept = n.kept[:last]
	}
}

// maxWayKm is longer than any way by road.
const maxWayKm = 1e6

func (n *nearest) isFull() bool { return n.lots >= n.enough }

// isCertain tells whether a town so far in a straight line, and all beyond it,
// are further by road than all that is needed.
func (n *nearest) isCertain(straightKm float64) bool {
	return n.isFull() && straightKm*place.MinCircuity()*(1-1e-6) > n.kept[len(n.kept)-1].km
}
