package alerts

import (
	"context"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/score"
	"heirpress/server/record"
	"heirpress/server/store"
)

// A want that stands, ready to be held against lots.
type want struct {
	list   *pb.WantedList
	want   *pb.Want
	asked  *pb.LotFilter  // with what it takes from its list
	filter *search.Filter // asked, compiled
}

func standing(list *pb.WantedList, w *pb.Want) *want {
	asked := score.Filter(list, w)
	return &want{list: list, want: w, asked: asked, filter: search.Compile(asked)}
}

func (w *want) meets(lot *pb.Lot) bool {
	if lot == nil {
		return false
	}
	ok, _ := w.filter.Matches(lot)
	return ok
}

// wants holds every standing want, by list and want, in the order of lists.
type wants struct {
	lists map[string][]*want
	kinds map[pb.Kind]map[*want]struct{} // those that ask for a kind, and under 0 those that ask for none
}

func noWants() *wants {
	return &wants{lists: map[string][]*want{}, kinds: map[pb.Kind]map[*want]struct{}{}}
}

// wantsAt reads the wants that stood when a change had just been made.
func wantsAt(ctx context.Context, from store.Reader, at uint64) (*wants, error) {
	all := noWants()
	for l := (store.Listing{Collection: store.WantedLists, AnyParent: true}); ; {
		records, err := from.List(ctx, l)
		if err != nil {
			return nil, err
		}
		if len(records) == 0 {
			break
		}
		for _, r := range records {
			l.After = r.Created
			if r.Revision <= at {
				if err := all.put(r); err != nil {
					return nil, err
				}
			}
		}
	}
	return all, all.rewind(ctx, from, at)
}

// rewind puts the lists that have changed since back to what they were.
func (s *wants) rewind(ctx context.Context, from store.Reader, at uint64) error {
	for after := at; ; {
		since, err := from.Changes(ctx, after, 0, store.WantedLists)
		if err != nil || len(since) == 0 {
			return err
		}
		for _, c := range since {
			after = c.Number
			if err := s.rewindOne(ctx, from, c.Record.Name, at); err != nil {
				return err
			}
		}
	}
}

func (s *wants) rewindOne(ctx context.Context, from store.Reader, list string, at uint64) error {
	before, err := from.History(ctx, list, at+1, 1)
	if err != nil {
		return err
	}
	s.drop(list)
	if len(before) == 0 || before[0].Op == store.OpDelete {
		return nil
	}
	return s.put(before[0].Record)
}

func (s *wants) put(r store.Record) error {
	list, err := record.WantedList(r)
	if err != nil {
		return err
	}
	s.set(list)
	return nil
}

func (s *wants) set(list *pb.WantedList) {
	s.drop(list.GetName())
	for _, w := range list.GetWants() {
		one := standing(list, w)
		s.lists[list.GetName()] = append(s.lists[list.GetName()], one)
		for _, k := range kindsOf(one) {
			if s.kinds[k] == nil {
				s.kinds[k] = map[*want]struct{}{}
			}
			s.kinds[k][one] = struct{}{}
		}
	}
}

func (s *wants) drop(list string) {
	for _, w := range s.lists[list] {
		for _, k := range kindsOf(w) {
			delete(s.kinds[k], w)
		}
	}
	delete(s.lists, list)
}

func kindsOf(w *want) []pb.Kind {
	if kinds := w.asked.GetKinds(); len(kinds) > 0 {
		return kinds
	}
	return []pb.Kind{pb.Kind_KIND_UNSPECIFIED}
}

// couldMeet calls each with every want whose kinds do not rule the lot out.
func (s *wants) couldMeet(lot *pb.Lot, each func(*want)) {
	for w := range s.kinds[lot.GetKind()] {
		each(w)
	}
	if lot.GetKind() == pb.Kind_KIND_UNSPECIFIED {
		return
	}
	for w := range s.kinds[pb.Kind_KIND_UNSPECIFIED] {
		each(w)
	}
}

// sameAsk tells whether two wants are met by the same lots.
func sameAsk(a, b *want) bool {
	return a != nil && b != nil && proto.Equal(a.asked, b.asked)
}
