// Package deadly is for tests of what outlives a kill: a store that kills its own
// process, as SIGKILL does, when a named point in the use of it has been passed.
package deadly

import (
	"context"
	"fmt"
	"os"
	"sync"

	"heirpress/server/store"
)

// The points that belong to no collection. The others are made by Create, Update,
// Move and Commit.
const (
	// Journal is passed when entries of the journal have been read.
	Journal = "journal read"
	// History is passed when what a record was has been read.
	History = "history read"
)

// Create is the point where a record of a collection was made, and nothing is
// committed yet.
func Create(c store.Collection) string { return "create " + string(c) }

// Update is the point where one was changed, the same.
func Update(c store.Collection) string { return "update " + string(c) }

// Move is the point where a follower's cursor was moved, the same.
func Move(follower string) string { return "move " + follower }

// Commit is the point where a transaction that passed another point was
// committed, and the one who wrote it has not heard of it.
func Commit(point string) string { return "commit after " + point }

// Store passes on what it is asked, until it kills its process.
type Store struct {
	store.Store
	point string

	mu   sync.Mutex
	left int
}

// New makes a store that dies when a point is passed for the nth time. Name a
// point that there is not, and it lives.
func New(s store.Store, point string, nth int) *Store {
	return &Store{Store: s, point: point, left: nth}
}

func (s *Store) pass(point string) {
	if point != s.point {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.left--; s.left > 0 {
		return
	}
	self, err := os.FindProcess(os.Getpid())
	if err == nil {
		err = self.Kill()
	}
	if err != nil {
		panic(fmt.Sprint("deadly: ", err))
	}
	select {} // a signal takes a moment
}

// Changes passes Journal.
func (s *Store) Changes(ctx context.Context, after uint64, limit int, of ...store.Collection) ([]store.Change, error) {
	changes, err := s.Store.Changes(ctx, after, limit, of...)
	if len(changes) > 0 {
		s.pass(Journal)
	}
	return changes, err
}

// History passes History.
func (s *Store) History(ctx context.Context, name string, before uint64, limit int) ([]store.Change, error) {
	past, err := s.Store.History(ctx, name, before, limit)
	s.pass(History)
	return past, err
}

// Write passes the points of the transaction, and after it their commits.
func (s *Store) Write(ctx context.Context, do func(store.Tx) error) error {
	var passed map[string]bool
	err := s.Store.Write(ctx, func(tx store.Tx) error {
		passed = map[string]bool{}
		return do(&deadlyTx{tx, s, passed})
	})
	if err == nil {
		for point := range passed {
			s.pass(Commit(point))
		}
	}
	return err
}

type deadlyTx struct {
	store.Tx
	store  *Store
	passed map[string]bool
}

func (t *deadlyTx) pass(point string, err error) {
	if err == nil {
		t.passed[point] = true
		t.store.pass(point)
	}
}

func (t *deadlyTx) Create(ctx context.Context, r store.Record) (store.Record, error) {
	made, err := t.Tx.Create(ctx, r)
	t.pass(Create(r.Collection), err)
	return made, err
}

func (t *deadlyTx) Update(ctx context.Context, r store.Record) (store.Record, error) {
	changed, err := t.Tx.Update(ctx, r)
	t.pass(Update(changed.Collection), err)
	return changed, err
}

func (t *deadlyTx) MoveCursor(ctx context.Context, follower string, to uint64) error {
	err := t.Tx.MoveCursor(ctx, follower, to)
	t.pass(Move(follower), err)
	return err
}
