// Package sqlite keeps a registry in one SQLite file, through a driver that
// needs no C compiler.
//
// It promises what package store does, and besides:
//
//   - The file is opened only if it is a registry that this program knows: a
//     file of another kind, a damaged one and one with a newer schema are refused
//     and left as they were.
//   - Any number of processes may have the file open at once; their writes follow
//     one another. It must be on a local disk: a network file system does not
//     keep the locks this relies on.
//   - A new file, and the two beside it while it is open (-wal and -shm), can be
//     read only by the user who made them.
//
// It writes ahead to a log and syncs that log on every commit, so a write costs
// one sync of the disk.
package sqlite

import (
	"context"
	"errors"
	"runtime"
	"sync"
	"time"

	"heirpress/server/internal/mark"
	"heirpress/server/store"
)

// Store is a registry in an SQLite file.
type Store struct {
	file   file
	clock  func() time.Time
	writer *pool // of one: SQLite has one writer at a time
	reader *pool
	moved  *mark.Mark // how far this process has moved the journal's head
	closed chan struct{}
	once   sync.Once
}

var _ store.Store = (*Store)(nil)

// Option changes how a store is opened.
type Option func(*Store)

// Clock has the store tell the time by now instead of the wall clock.
func Clock(now func() time.Time) Option {
	return func(s *Store) { s.clock = now }
}

// Open opens the registry in a file, making the file if there is none, and
// brings an older schema up to date. It returns *store.NewerError for a newer
// schema, and *store.UnusableError for a damaged file or one that is not a
// registry; those are left as they were.
func Open(path string, options ...Option) (*Store, error) {
	s := &Store{clock: time.Now, moved: mark.New(), closed: make(chan struct{})}
	for _, option := range options {
		option(s)
	}
	var err error
	if s.file.path, err = locate(path); err != nil {
		return nil, err
	}
	first, err := s.file.openFirst()
	if err != nil {
		return nil, err
	}
	s.writer = newPool(1, s.closed, s.file.open)
	s.reader = newPool(max(2, runtime.GOMAXPROCS(0)), s.closed, s.file.openReader)
	s.writer.idle = append(s.writer.idle, first)
	return s, nil
}

// Close is store.Store's.
func (s *Store) Close() error {
	var err error
	s.once.Do(func() {
		close(s.closed)
		err = errors.Join(s.reader.drain(), s.writer.drain())
	})
	return err
}

// read asks one question of a reading connection.
func read[T any](ctx context.Context, s *Store, ask func(*session) (T, error)) (T, error) {
	c, err := s.reader.take(ctx)
	if err != nil {
		var none T
		return none, err
	}
	defer s.reader.give(c)
	return ask(&session{c: c})
}

// Get is store.Reader's.
func (s *Store) Get(ctx context.Context, name string) (store.Record, error) {
	return read(ctx, s, func(q *session) (store.Record, error) { return q.Get(ctx, name) })
}

// GetMany is store.Reader's.
func (s *Store) GetMany(ctx context.Context, names []string) ([]store.Record, error) {
	return read(ctx, s, func(q *session) (found []store.Record, err error) {
		err = q.atOnce(ctx, func() error {
			found, err = q.GetMany(ctx, names)
			return err
		})
		return found, err
	})
}

// Find is store.Reader's.
func (s *Store) Find(ctx context.Context, c store.Collection, parent, key string) (store.Record, error) {
	return read(ctx, s, func(q *session) (store.Record, error) { return q.Find(ctx, c, parent, key) })
}

// List is store.Reader's.
func (s *Store) List(ctx context.Context, l store.Listing) ([]store.Record, error) {
	return read(ctx, s, func(q *session) ([]store.Record, error) { return q.List(ctx, l) })
}

// Count is store.Reader's.
func (s *Store) Count(ctx context.Context, c store.Collection, parent string) (int, error) {
	return read(ctx, s, func(q *session) (int, error) { return q.Count(ctx, c, parent) })
}

// Changes is store.Reader's.
func (s *Store) Changes(ctx context.Context, after uint64, limit int, of ...store.Collection) ([]store.Change, error) {
	return read(ctx, s, func(q *session) ([]store.Change, error) { return q.Changes(ctx, after, limit, of...) })
}

// History is store.Reader's.
func (s *Store) History(ctx context.Context, name string, before uint64, limit int) ([]store.Change, error) {
	return read(ctx, s, func(q *session) ([]store.Change, error) { return q.History(ctx, name, before, limit) })
}

// Head is store.Reader's.
func (s *Store) Head(ctx context.Context) (uint64, error) {
	return read(ctx, s, func(q *session) (uint64, error) { return q.Head(ctx) })
}

// Cursor is store.Reader's.
func (s *Store) Cursor(ctx context.Context, follower string) (uint64, error) {
	return read(ctx, s, func(q *session) (uint64, error) { return q.Cursor(ctx, follower) })
}

// Recall is store.Reader's.
func (s *Store) Recall(ctx context.Context, id string) (store.Answer, error) {
	return read(ctx, s, func(q *session) (store.Answer, error) { return q.Recall(ctx, id) })
}
