package server

import (
	"context"
	"errors"
	"time"

	"google.golang.org/grpc/codes"

	"heirpress/server/store"
)

// Observer hears how long things take. Its methods are called from many
// goroutines at once and must not block.
type Observer interface {
	// Call is told of a call that has ended: its full method, what it ended with,
	// and how long it took. A stream takes as long as its reader stays.
	Call(method string, code codes.Code, took time.Duration)
	// Store is told of a call of the store: a name such as "write", whether it
	// failed, and how long it took. That there is no such record is no failure.
	Store(op string, failed bool, took time.Duration)
}

// unobserved is an Observer that nobody asked for.
type unobserved struct{}

func (unobserved) Call(string, codes.Code, time.Duration) {}
func (unobserved) Store(string, bool, time.Duration)      {}

// observed is a store of which every call is timed. What is read within Write
// counts for the write; Wait, which waits for others, for nothing.
type observed struct {
	store.Store
	by Observer
}

// timed times one call.
func timed[T any](s observed, op string, do func() (T, error)) (T, error) {
	start := time.Now()
	got, err := do()
	s.by.Store(op, failed(err), time.Since(start))
	return got, err
}

func failed(err error) bool {
	var told *Problem // what a transaction refuses is no fault of the store
	return err != nil && !errors.Is(err, store.ErrNotFound) && !errors.Is(err, context.Canceled) && !errors.As(err, &told)
}

// Get is store.Reader's.
func (s observed) Get(ctx context.Context, name string) (store.Record, error) {
	return timed(s, "get", func() (store.Record, error) { return s.Store.Get(ctx, name) })
}

// GetMany is store.Reader's.
func (s observed) GetMany(ctx context.Context, names []string) ([]store.Record, error) {
	return timed(s, "get_many", func() ([]store.Record, error) { return s.Store.GetMany(ctx, names) })
}

// Find is store.Reader's.
func (s observed) Find(ctx context.Context, c store.Collection, parent, key string) (store.Record, error) {
	return timed(s, "find", func() (store.Record, error) { return s.Store.Find(ctx, c, parent, key) })
}

// List is store.Reader's.
func (s observed) List(ctx context.Context, l store.Listing) ([]store.Record, error) {
	return timed(s, "list", func() ([]store.Record, error) { return s.Store.List(ctx, l) })
}

// Count is store.Reader's.
func (s observed) Count(ctx context.Context, c store.Collection, parent string) (int, error) {
	return timed(s, "count", func() (int, error) { return s.Store.Count(ctx, c, parent) })
}

// Changes is store.Reader's.
func (s observed) Changes(ctx context.Context, after uint64, limit int, of ...store.Collection) ([]store.Change, error) {
	return timed(s, "changes", func() ([]store.Change, error) { return s.Store.Changes(ctx, after, limit, of...) })
}

// History is store.Reader's.
func (s observed) History(ctx context.Context, name string, before uint64, limit int) ([]store.Change, error) {
	return timed(s, "history", func() ([]store.Change, error) { return s.Store.History(ctx, name, before, limit) })
}

// Head is store.Reader's.
func (s observed) Head(ctx context.Context) (uint64, error) {
	return timed(s, "head", func() (uint64, error) { return s.Store.Head(ctx) })
}

// Cursor is store.Reader's.
func (s observed) Cursor(ctx context.Context, follower string) (uint64, error) {
	return timed(s, "cursor", func() (uint64, error) { return s.Store.Cursor(ctx, follower) })
}

// Write is store.Store's.
func (s observed) Write(ctx context.Context, do func(store.Tx) error) error {
	_, err := timed(s, "write", func() (struct{}, error) { return struct{}{}, s.Store.Write(ctx, do) })
	return err
}
