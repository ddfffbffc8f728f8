package memory

import (
	"cmp"
	"context"
	"slices"

	"heirpress/server/store"
)

// view answers from one state.
type view struct {
	*state
	ended error // why it can go no further
}

// usable returns why the view cannot answer; once it cannot, it never can again.
func (v *view) usable(ctx context.Context) error {
	if v.ended == nil {
		v.ended = ctx.Err()
	}
	return v.ended
}

func (v *view) Get(ctx context.Context, name string) (store.Record, error) {
	if err := v.usable(ctx); err != nil {
		return store.Record{}, err
	}
	r, ok := v.records[name]
	if !ok {
		return store.Record{}, store.ErrNotFound
	}
	return own(r), nil
}

func (v *view) GetMany(ctx context.Context, names []string) ([]store.Record, error) {
	return v.selected(ctx, func(r store.Record) bool { return slices.Contains(names, r.Name) })
}

func (v *view) Find(ctx context.Context, c store.Collection, parent, key string) (store.Record, error) {
	found, err := v.selected(ctx, func(r store.Record) bool {
		return key != "" && r.Collection == c && r.Parent == parent && r.Key == key
	})
	if err != nil {
		return store.Record{}, err
	}
	if len(found) == 0 {
		return store.Record{}, store.ErrNotFound
	}
	return found[0], nil
}

func (v *view) List(ctx context.Context, l store.Listing) ([]store.Record, error) {
	found, err := v.selected(ctx, func(r store.Record) bool {
		return r.Collection == l.Collection && (l.AnyParent || r.Parent == l.Parent) &&
			(r.Open || !l.OpenOnly) && r.Created > l.After
	})
	return first(found, l.Limit), err
}

func (v *view) Count(ctx context.Context, c store.Collection, parent string) (int, error) {
	found, err := v.selected(ctx, func(r store.Record) bool { return r.Collection == c && r.Parent == parent })
	return len(found), err
}

// selected returns the records that are wanted, in the order of lists.
func (v *view) selected(ctx context.Context, wanted func(store.Record) bool) ([]store.Record, error) {
	if err := v.usable(ctx); err != nil {
		return nil, err
	}
	var found []store.Record
	for _, r := range v.records {
		if wanted(r) {
			found = append(found, own(r))
		}
	}
	slices.SortFunc(found, func(a, b store.Record) int { return cmp.Compare(a.Created, b.Created) })
	return found, nil
}

func (v *view) Changes(ctx context.Context, after uint64, limit int, of ...store.Collection) ([]store.Change, error) {
	if err := v.usable(ctx); err != nil {
		return nil, err
	}
	var found []store.Change
	for _, c := range v.journal {
		if c.Number > after && (len(of) == 0 || slices.Contains(of, c.Record.Collection)) {
			found = append(found, ownChange(c))
		}
	}
	return first(found, limit), nil
}

func (v *view) History(ctx context.Context, name string, before uint64, limit int) ([]store.Change, error) {
	if err := v.usable(ctx); err != nil {
		return nil, err
	}
	var found []store.Change
	for _, c := range slices.Backward(v.journal) {
		if c.Record.Name == name && (c.Number < before || before == 0) {
			found = append(found, ownChange(c))
		}
	}
	return first(found, limit), nil
}

func (v *view) Head(ctx context.Context) (uint64, error) {
	return v.head(), v.usable(ctx)
}

func (v *view) Cursor(ctx context.Context, follower string) (uint64, error) {
	return v.cursors[follower], v.usable(ctx)
}

func (v *view) Recall(ctx context.Context, id string) (store.Answer, error) {
	if err := v.usable(ctx); err != nil {
		return store.Answer{}, err
	}
	a, ok := v.answers[id]
	if !ok {
		return store.Answer{}, store.ErrNotFound
	}
	return ownAnswer(a.Answer), nil
}

// first returns as many as a limit allows.
func first[T any](all []T, limit int) []T {
	if limit <= 0 {
		limit = store.DefaultLimit
	}
	return all[:min(len(all), limit)]
}

// own returns a record that shares no bytes with r; so do the two below.
func own(r store.Record) store.Record {
	r.Body = slices.Clone(r.Body)
	return r
}

func ownChange(c store.Change) store.Change {
	c.Record = own(c.Record)
	return c
}

func ownAnswer(a store.Answer) store.Answer {
	a.Fingerprint, a.Body = slices.Clone(a.Fingerprint), slices.Clone(a.Body)
	return a
}

// look makes a view of what is committed now.
func (s *Store) look() *view {
	v := &view{state: s.now.Load()}
	select {
	case <-s.closed:
		v.ended = store.ErrClosed
	default:
	}
	return v
}

// Get is store.Reader's.
func (s *Store) Get(ctx context.Context, name string) (store.Record, error) {
	return s.look().Get(ctx, name)
}

// GetMany is store.Reader's.
func (s *Store) GetMany(ctx context.Context, names []string) ([]store.Record, error) {
	return s.look().GetMany(ctx, names)
}

// Find is store.Reader's.
func (s *Store) Find(ctx context.Context, c store.Collection, parent, key string) (store.Record, error) {
	return s.look().Find(ctx, c, parent, key)
}

// List is store.Reader's.
func (s *Store) List(ctx context.Context, l store.Listing) ([]store.Record, error) {
	return s.look().List(ctx, l)
}

// Count is store.Reader's.
func (s *Store) Count(ctx context.Context, c store.Collection, parent string) (int, error) {
	return s.look().Count(ctx, c, parent)
}

// Changes is store.Reader's.
func (s *Store) Changes(ctx context.Context, after uint64, limit int, of ...store.Collection) ([]store.Change, error) {
	return s.look().Changes(ctx, after, limit, of...)
}

// History is store.Reader's.
func (s *Store) History(ctx context.Context, name string, before uint64, limit int) ([]store.Change, error) {
	return s.look().History(ctx, name, before, limit)
}

// Head is store.Reader's.
func (s *Store) Head(ctx context.Context) (uint64, error) { return s.look().Head(ctx) }

// Cursor is store.Reader's.
func (s *Store) Cursor(ctx context.Context, follower string) (uint64, error) {
	return s.look().Cursor(ctx, follower)
}

// Recall is store.Reader's.
func (s *Store) Recall(ctx context.Context, id string) (store.Answer, error) {
	return s.look().Recall(ctx, id)
}
