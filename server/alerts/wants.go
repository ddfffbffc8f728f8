package alerts

import (
	"context"
	"sync"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/score"
	"heirpress/search/standing"
	"heirpress/server/record"
	"heirpress/server/store"
)

// A want of a list, with what it takes from its list.
type want struct {
	list   *pb.WantedList
	want   *pb.Want
	asked  *pb.LotFilter
	filter *search.Filter // asked, compiled
}

func newWant(list *pb.WantedList, w *pb.Want) *want {
	asked := score.Filter(list, w)
	return &want{list: list, want: w, asked: asked, filter: search.Compile(asked)}
}

// meets tells whether a lot meets the want; nil is no lot.
func (w *want) meets(lot *search.Facts) bool {
	if lot == nil {
		return false
	}
	ok, _ := w.filter.Admits(lot)
	return ok
}

// sameAsk tells whether two wants are met by the same lots.
func sameAsk(a, b *want) bool {
	return a != nil && b != nil && proto.Equal(a.asked, b.asked)
}

// wants are the wants that stand, each list under the change number of its
// creation. They may be asked while they change.
type wants struct {
	mu       sync.RWMutex
	standing *standing.Wants
}

func noWants() *wants { return &wants{standing: standing.New()} }

// take takes up the wants of another.
func (s *wants) take(from *wants) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.standing = from.standing
}

// put has the list of a record stand.
func (s *wants) put(r store.Record) error {
	list, err := record.WantedList(r)
	if err != nil {
		return err
	}
	asks := asksOf(list)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.standing.Put(r.Created, asks)
	return nil
}

func (s *wants) drop(r store.Record) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.standing.Drop(r.Created)
}

// follow takes up one change of a list.
func (s *wants) follow(c store.Change) error {
	if c.Op == store.OpDelete {
		s.drop(c.Record)
		return nil
	}
	return s.put(c.Record)
}

// written is a list as package standing writes it.
func (s *wants) written(created uint64) []byte {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.standing.Append(nil, created)
}

// none tells whether no want stands.
func (s *wants) none() bool {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.standing.Len() == 0
}

func (s *wants) meeting(lot, before *search.Facts) []standing.Met {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.standing.Meeting(lot, before)
}

// asksOf is a list as package standing holds it. A want is marked that has parts
// which must be there.
func asksOf(list *pb.WantedList) []standing.Ask {
	asks := make([]standing.Ask, len(list.GetWants()))
	for i, w := range list.GetWants() {
		asks[i] = standing.Ask{Filter: score.Filter(list, w), Marked: len(w.GetMustHave()) > 0}
	}
	return asks
}

// wantsAt reads the wants that stood when a change had just been made.
func wantsAt(ctx context.Context, from store.Reader, at uint64) (*wants, error) {
	all := noWants()
	for r, err := range store.Each(ctx, from, store.Listing{Collection: store.WantedLists, AnyParent: true}) {
		if err != nil {
			return nil, err
		}
		if r.Revision > at {
			continue
		}
		if err := all.put(r); err != nil {
			return nil, err
		}
	}
	return all, all.rewind(ctx, from, at)
}

// rewind puts the lists that have changed since back to what they were.
func (s *wants) rewind(ctx context.Context, from store.Reader, at uint64) error {
	return eachChange(ctx, from, at, func(c store.Change) error {
		s.drop(c.Record)
		before, err := from.History(ctx, c.Record.Name, at+1, 1)
		if err != nil || len(before) == 0 || before[0].Op == store.OpDelete {
			return err
		}
		return s.put(before[0].Record)
	})
}

// eachChange calls each with every change of a list after one.
func eachChange(ctx context.Context, from store.Reader, after uint64, each func(store.Change) error) error {
	for {
		since, err := from.Changes(ctx, after, 0, store.WantedLists)
		if err != nil || len(since) == 0 {
			return err
		}
		for _, c := range since {
			after = c.Number
			if err := each(c); err != nil {
				return err
			}
		}
	}
}

// listAt is a list, by the change number of its creation, as it was when a change
// had just been made.
func listAt(ctx context.Context, from store.Reader, created, at uint64) (*pb.WantedList, error) {
	now, err := from.List(ctx, store.Listing{Collection: store.WantedLists, AnyParent: true, After: created - 1, Limit: 1})
	if err != nil {
		return nil, err
	}
	if len(now) > 0 && now[0].Created == created && now[0].Revision <= at {
		return record.WantedList(now[0])
	}
	made, err := from.Changes(ctx, created-1, 1)
	if err != nil || len(made) == 0 {
		return nil, err
	}
	return listBefore(ctx, from, made[0].Record.Name, at+1)
}

// listBefore is a list as it was just before a change; nil if it was not.
func listBefore(ctx context.Context, from store.Reader, name string, change uint64) (*pb.WantedList, error) {
	past, err := from.History(ctx, name, change, 1)
	if err != nil || len(past) == 0 || past[0].Op == store.OpDelete {
		return nil, err
	}
	return record.WantedList(past[0].Record)
}
