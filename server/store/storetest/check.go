package storetest

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"heirpress/server/store"
)

// Check tells whether a registry agrees with its journal: change numbers are 1,
// 2, 3 and so on, times do not run backwards, and the records are exactly those
// that the journal's entries, done in order, lead to. It reads the whole of it in
// many calls; while others write, give it a Tx.
func Check(ctx context.Context, s store.Reader) error {
	f := folded{records: map[string]store.Record{}, collections: map[store.Collection]bool{
		store.Shops: true, store.Lots: true, store.WantedLists: true, store.Alerts: true,
	}}
	for {
		changes, err := s.Changes(ctx, f.head, 0)
		if err != nil {
			return err
		}
		if len(changes) == 0 {
			break
		}
		for _, c := range changes {
			if err := f.apply(c); err != nil {
				return fmt.Errorf("change %d: %w", c.Number, err)
			}
		}
	}
	head, err := s.Head(ctx)
	if err != nil {
		return err
	}
	if head != f.head {
		return fmt.Errorf("the head is %d, but the journal ends at %d", head, f.head)
	}
	return f.compare(ctx, s)
}

// folded is what a journal leads to.
type folded struct {
	head        uint64
	at          time.Time
	records     map[string]store.Record
	collections map[store.Collection]bool
}

func (f *folded) apply(c store.Change) error {
	r := c.Record
	old, had := f.records[r.Name]
	switch {
	case c.Number != f.head+1:
		return fmt.Errorf("it follows %d", f.head)
	case c.Time.Before(f.at):
		return fmt.Errorf("its time %v is before %v", c.Time, f.at)
	case r.Revision != c.Number:
		return fmt.Errorf("its record has revision %d", r.Revision)
	case had == (c.Op == store.OpCreate):
		return fmt.Errorf("op %d of %q, which exists: %v", c.Op, r.Name, had)
	case had && (old.Created != r.Created || old.Collection != r.Collection || old.Parent != r.Parent),
		!had && r.Created != c.Number:
		return fmt.Errorf("it does not fit what came before it: %s, then %s", text(old), text(r))
	}
	f.head, f.at = c.Number, c.Time
	f.collections[r.Collection] = true
	if c.Op == store.OpDelete {
		if old.Revision = r.Revision; text(old) != text(r) {
			return fmt.Errorf("deleted as %s, but it was %s", text(r), text(old))
		}
		delete(f.records, r.Name)
		return nil
	}
	f.records[r.Name] = r
	return nil
}

// compare compares every record listed with the one the journal leads to.
func (f *folded) compare(ctx context.Context, s store.Reader) error {
	left := maps.Clone(f.records)
	for c := range f.collections {
		err := eachRecord(ctx, s, c, func(r store.Record) error {
			if want, ok := left[r.Name]; !ok || text(want) != text(r) {
				return fmt.Errorf("the record is %s, the journal leads to %s", text(r), text(want))
			}
			delete(left, r.Name)
			return f.found(ctx, s, r)
		})
		if err != nil {
			return err
		}
	}
	if len(left) > 0 {
		return fmt.Errorf("the journal leads to records that are not there: %q", slices.Sorted(maps.Keys(left)))
	}
	return nil
}

// found reads a listed record by its name and by its key.
func (f *folded) found(ctx context.Context, s store.Reader, r store.Record) error {
	byName, err := s.Get(ctx, r.Name)
	if err != nil {
		return fmt.Errorf("listed as %s, but not found by name: %w", text(r), err)
	}
	if text(byName) != text(r) {
		return fmt.Errorf("listed as %s, but by name it is %s", text(r), text(byName))
	}
	byKey, err := s.Find(ctx, r.Collection, r.Parent, r.Key)
	if r.Key == "" && errors.Is(err, store.ErrNotFound) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("listed as %s, but not found by key: %w", text(r), err)
	}
	if text(byKey) != text(r) {
		return fmt.Errorf("listed as %s, but by key it is %s", text(r), text(byKey))
	}
	return nil
}

// eachRecord calls do for every record of a collection.
func eachRecord(ctx context.Context, s store.Reader, c store.Collection, do func(store.Record) error) error {
	at := uint64(0)
	for {
		page, err := s.List(ctx, store.Listing{Collection: c, AnyParent: true, After: at})
		if err != nil || len(page) == 0 {
			return err
		}
		for _, r := range page {
			if err := do(r); err != nil {
				return err
			}
			at = r.Created
		}
	}
}
