package storetest_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"heirpress/server/store"
	"heirpress/server/store/memory"
	"heirpress/server/store/storetest"
)

// liar is a store that answers wrongly where it is told to.
type liar struct {
	*memory.Store
	change func(*store.Change)
	record func(*store.Record)
	found  func(*store.Record, *error)
	head   uint64
	lost   string // a record that lists leave out
}

func (l liar) Find(ctx context.Context, c store.Collection, parent, key string) (store.Record, error) {
	r, err := l.Store.Find(ctx, c, parent, key)
	if l.found != nil {
		l.found(&r, &err)
	}
	return r, err
}

func (l liar) Changes(ctx context.Context, after uint64, limit int, of ...store.Collection) ([]store.Change, error) {
	changes, err := l.Store.Changes(ctx, after, limit, of...)
	for i := range changes {
		if l.change != nil {
			l.change(&changes[i])
		}
	}
	return changes, err
}

func (l liar) List(ctx context.Context, ask store.Listing) ([]store.Record, error) {
	records, err := l.Store.List(ctx, ask)
	var told []store.Record
	for _, r := range records {
		if l.record != nil {
			l.record(&r)
		}
		if r.Name != l.lost {
			told = append(told, r)
		}
	}
	return told, err
}

func (l liar) Head(ctx context.Context) (uint64, error) {
	head, err := l.Store.Head(ctx)
	return head + l.head, err
}

// story is a store with a lot updated and another deleted.
func story(t *testing.T) *memory.Store {
	t.Helper()
	ctx := t.Context()
	s := memory.New()
	err := s.Write(ctx, func(tx store.Tx) error {
		for _, name := range []string{"a", "b"} {
			if _, err := tx.Create(ctx, store.Record{Name: name, Collection: store.Lots, Key: name}); err != nil {
				return err
			}
		}
		if _, err := tx.Update(ctx, store.Record{Name: "a", Key: "a2", Body: []byte("x")}); err != nil {
			return err
		}
		_, err := tx.Delete(ctx, "b")
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestCheck(t *testing.T) {
	s := story(t)
	if err := storetest.Check(t.Context(), s); err != nil {
		t.Fatalf("nothing is wrong with it: %v", err)
	}
	at := func(n uint64, do func(*store.Change)) func(*store.Change) {
		return func(c *store.Change) {
			if c.Number == n {
				do(c)
			}
		}
	}
	for _, c := range []struct {
		says string
		liar liar
	}{
		{"follows 1", liar{change: at(2, func(c *store.Change) { c.Number = 5 })}},
		{"is before", liar{change: at(3, func(c *store.Change) { c.Time = time.Unix(0, 0) })}},
		{"has revision 9", liar{change: at(1, func(c *store.Change) { c.Record.Revision = 9 })}},
		{`op 2 of "b", which exists: false`, liar{change: at(2, func(c *store.Change) { c.Op = store.OpUpdate })}},
		{`op 1 of "a", which exists: true`, liar{change: at(3, func(c *store.Change) { c.Op = store.OpCreate })}},
		{"does not fit", liar{change: at(3, func(c *store.Change) { c.Record.Parent = "p" })}},
		{"does not fit", liar{change: at(1, func(c *store.Change) { c.Record.Created = 9 })}},
		{"deleted as", liar{change: at(4, func(c *store.Change) { c.Record.Key = "z" })}},
		{"the head is 5", liar{head: 1}},
		{"the record is", liar{record: func(r *store.Record) { r.Body = nil }}},
		{"not there", liar{lost: "a"}},
		{"not found by key", liar{found: func(_ *store.Record, err *error) { *err = store.ErrNotFound }}},
		{"by key it is", liar{found: func(r *store.Record, _ *error) { r.Name = "c" }}},
		{"by name it is", liar{
			change: at(3, func(c *store.Change) { c.Record.Key = "" }),
			record: func(r *store.Record) { r.Key = "" },
		}},
	} {
		c.liar.Store = s
		err := storetest.Check(t.Context(), c.liar)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("error %v, want one that says %q", err, c.says)
		}
	}
}
