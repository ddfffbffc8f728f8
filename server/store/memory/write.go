package memory

import (
	"context"
	"fmt"
	"slices"
	"time"

	"heirpress/server/store"
)

// tx is a transaction under way, on a state of its own.
type tx struct {
	view
	now time.Time
}

// Now is store.Tx's.
func (t *tx) Now() time.Time { return t.now }

// Create is store.Tx's.
func (t *tx) Create(ctx context.Context, r store.Record) (store.Record, error) {
	if err := t.usable(ctx); err != nil {
		return store.Record{}, err
	}
	if err := r.Check(); err != nil {
		return store.Record{}, err
	}
	if _, ok := t.records[r.Name]; ok {
		return store.Record{}, &store.ExistsError{Name: r.Name}
	}
	r.Created = t.head() + 1
	return t.put(ctx, store.OpCreate, r)
}

// Update is store.Tx's.
func (t *tx) Update(ctx context.Context, r store.Record) (store.Record, error) {
	if err := t.usable(ctx); err != nil {
		return store.Record{}, err
	}
	if err := r.CheckUpdate(); err != nil {
		return store.Record{}, err
	}
	old, ok := t.records[r.Name]
	if !ok {
		return store.Record{}, store.ErrNotFound
	}
	r.Collection, r.Parent, r.Created = old.Collection, old.Parent, old.Created
	return t.put(ctx, store.OpUpdate, r)
}

// put writes a record and its journal entry, unless its key is another's.
func (t *tx) put(ctx context.Context, op store.Op, r store.Record) (store.Record, error) {
	other, err := t.Find(ctx, r.Collection, r.Parent, r.Key)
	if err == nil && other.Name != r.Name {
		return store.Record{}, &store.ExistsError{Name: other.Name, Key: r.Key}
	}
	r.Revision = t.log(op, r)
	t.records[r.Name] = own(r)
	return r, nil
}

// Delete is store.Tx's.
func (t *tx) Delete(ctx context.Context, name string) (uint64, error) {
	r, err := t.Get(ctx, name)
	if err != nil {
		return 0, err
	}
	delete(t.records, name)
	return t.log(store.OpDelete, r), nil
}

// log writes the journal entry of the next change and returns its number.
func (t *tx) log(op store.Op, r store.Record) uint64 {
	r = own(r)
	r.Revision = t.head() + 1
	t.journal = append(t.journal, store.Change{Number: r.Revision, Time: t.now, Op: op, Record: r})
	return r.Revision
}

// Erase is store.Tx's.
func (t *tx) Erase(ctx context.Context, name string) (n int, err error) {
	if err := t.usable(ctx); err != nil {
		return 0, err
	}
	t.journal = slices.Clone(t.journal)
	for i, c := range t.journal {
		if c.Record.Name == name && c.Number != t.records[name].Revision && len(c.Record.Body) > 0 {
			t.journal[i].Record.Body = nil
			n++
		}
	}
	return n, nil
}

// MoveCursor is store.Tx's.
func (t *tx) MoveCursor(ctx context.Context, follower string, to uint64) error {
	if err := t.usable(ctx); err != nil {
		return err
	}
	if err := store.CheckCursor(follower, to, t.head()); err != nil {
		return err
	}
	t.cursors[follower] = to
	return nil
}

// Remember is store.Tx's.
func (t *tx) Remember(ctx context.Context, a store.Answer) error {
	if err := t.usable(ctx); err != nil {
		return err
	}
	if err := a.Check(); err != nil {
		return err
	}
	if _, ok := t.answers[a.ID]; ok {
		return &store.InvalidError{Field: "answer.id", Problem: fmt.Sprintf("is %q, which has been answered: recall that answer", a.ID)}
	}
	t.answers[a.ID] = answer{Answer: ownAnswer(a), at: t.now}
	return nil
}
