package storetest

import (
	"fmt"
	"testing"

	"heirpress/server/store"
)

func listing(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"which":               listWhich,
		"order of creation":   listOrder,
		"pages under writes":  listPages,
		"limit when not told": listDefault,
		"count":               listCount,
	})
}

// stand creates lots under two parents and at the top, some open, and a shop.
func stand(t *testing.T, s store.Store) {
	t.Helper()
	open := func(r store.Record) store.Record {
		r.Open = true
		return r
	}
	create(t, s, lot("p1", "p"), open(lot("p2", "p")), open(lot("q1", "q")), lot("top1", ""),
		store.Record{Name: "s1", Collection: store.Shops, Parent: "p", Open: true},
		open(lot("p3", "p")), open(lot("top2", "")))
}

func listWhich(t *testing.T, s store.Store) {
	stand(t, s)
	for _, c := range []struct {
		ask  store.Listing
		want []string
	}{
		{store.Listing{Collection: store.Lots, Parent: "p"}, []string{"p1", "p2", "p3"}},
		{store.Listing{Collection: store.Lots, Parent: "p", OpenOnly: true}, []string{"p2", "p3"}},
		{store.Listing{Collection: store.Lots, Parent: "p", After: 1}, []string{"p2", "p3"}},
		{store.Listing{Collection: store.Lots, Parent: "p", After: 2, OpenOnly: true}, []string{"p3"}},
		{store.Listing{Collection: store.Lots, Parent: "p", Limit: 2}, []string{"p1", "p2"}},
		{store.Listing{Collection: store.Lots}, []string{"top1", "top2"}},
		{store.Listing{Collection: store.Lots, OpenOnly: true}, []string{"top2"}},
		{store.Listing{Collection: store.Lots, AnyParent: true}, []string{"p1", "p2", "q1", "top1", "p3", "top2"}},
		{store.Listing{Collection: store.Lots, Parent: "p", AnyParent: true, OpenOnly: true}, []string{"p2", "q1", "p3", "top2"}},
		{store.Listing{Collection: store.Lots, AnyParent: true, After: 3, Limit: 2}, []string{"top1", "p3"}},
		{store.Listing{Collection: store.Shops, Parent: "p"}, []string{"s1"}},
		{store.Listing{Collection: store.Alerts, AnyParent: true}, nil},
		{store.Listing{Collection: store.Lots, AnyParent: true, After: 1 << 63}, nil},
		{store.Listing{AnyParent: true}, nil},
	} {
		got := must[[]store.Record](t)(s.List(t.Context(), c.ask))
		wantSame(t, fmt.Sprintf("List(%+v)", c.ask), names(got), c.want)
	}
}

func listOrder(t *testing.T, s store.Store) {
	create(t, s, lot("z", ""), lot("m", ""), lot("a", ""))
	update(t, s, lot("z", ""))
	remove(t, s, "m")
	create(t, s, lot("m", ""))
	got := must[[]store.Record](t)(s.List(t.Context(), store.Listing{Collection: store.Lots}))
	wantSame(t, "List", names(got), []string{"z", "a", "m"})
}

// listPages reads page by page while records before, in and after the page are
// updated, deleted and created: what was there all along is read exactly once.
func listPages(t *testing.T, s store.Store) {
	for i := range 20 {
		create(t, s, lot(fmt.Sprintf("stays%02d", i), "p"), lot(fmt.Sprintf("goes%02d", i), "p"))
	}
	seen := map[string]int{}
	at := uint64(0)
	for page := 0; ; page++ {
		got := must[[]store.Record](t)(s.List(t.Context(), store.Listing{Collection: store.Lots, Parent: "p", After: at, Limit: 7}))
		if len(got) == 0 {
			break
		}
		for _, r := range got {
			seen[r.Name]++
		}
		at = got[len(got)-1].Created
		if page < 5 {
			remove(t, s, fmt.Sprintf("goes%02d", page*4))
			update(t, s, lot(fmt.Sprintf("stays%02d", page*4), "p"))
			create(t, s, lot(fmt.Sprintf("new%02d", page), "p"))
		}
	}
	for i := range 20 {
		if n := seen[fmt.Sprintf("stays%02d", i)]; n != 1 {
			t.Errorf("stays%02d was listed %d times", i, n)
		}
	}
	for i := range 5 {
		if n := seen[fmt.Sprintf("new%02d", i)]; n != 1 {
			t.Errorf("new%02d, created while listing, was listed %d times", i, n)
		}
	}
}

func listDefault(t *testing.T, s store.Store) {
	write(t, s, func(tx store.Tx) error {
		for i := range store.DefaultLimit + 1 {
			if _, err := tx.Create(t.Context(), lot(fmt.Sprint(i), "")); err != nil {
				return err
			}
			if _, err := tx.Update(t.Context(), lot("0", "")); err != nil {
				return err
			}
		}
		return nil
	})
	for _, limit := range []int{0, -1} {
		list := must[[]store.Record](t)(s.List(t.Context(), store.Listing{Collection: store.Lots, Limit: limit}))
		wantSame(t, "List", len(list), store.DefaultLimit)
		changes := must[[]store.Change](t)(s.Changes(t.Context(), 0, limit))
		wantSame(t, "Changes", len(changes), store.DefaultLimit)
		history := must[[]store.Change](t)(s.History(t.Context(), "0", 0, limit))
		wantSame(t, "History", len(history), store.DefaultLimit)
	}
	all := must[[]store.Record](t)(s.List(t.Context(), store.Listing{Collection: store.Lots, Limit: 5000}))
	wantSame(t, "List with a high limit", len(all), store.DefaultLimit+1)
}

func listCount(t *testing.T, s store.Store) {
	stand(t, s)
	for _, c := range []struct {
		of     store.Collection
		parent string
		want   int
	}{{store.Lots, "p", 3}, {store.Lots, "q", 1}, {store.Lots, "", 2}, {store.Shops, "p", 1}, {store.Lots, "none", 0}} {
		got := must[int](t)(s.Count(t.Context(), c.of, c.parent))
		wantSame(t, fmt.Sprintf("Count(%s, %q)", c.of, c.parent), got, c.want)
	}
	remove(t, s, "p1")
	wantSame(t, "Count after Delete", must[int](t)(s.Count(t.Context(), store.Lots, "p")), 2)
}
