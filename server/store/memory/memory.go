// Package memory keeps a registry in memory, for tests: the same promises as the
// real engines (but nothing outlives the process), made in the simplest way, so
// that the others can be compared with it.
//
// A state is never changed once it can be seen: a transaction works on a copy,
// which becomes the state when it commits.
package memory

import (
	"context"
	"maps"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"heirpress/server/store"
)

// Store is a registry in memory.
type Store struct {
	clock  func() time.Time
	write  chan struct{} // one element while a transaction is under way
	now    atomic.Pointer[state]
	closed chan struct{}
	once   sync.Once
}

var _ store.Store = (*Store)(nil)

// New makes an empty registry on the wall clock.
func New() *Store { return NewAt(time.Now) }

// NewAt makes an empty registry that tells the time by clock.
func NewAt(clock func() time.Time) *Store {
	s := &Store{clock: clock, write: make(chan struct{}, 1), closed: make(chan struct{})}
	s.now.Store(&state{
		records: map[string]store.Record{},
		cursors: map[string]uint64{},
		answers: map[string]answer{},
		left:    make(chan struct{}),
	})
	return s
}

// state is all that a registry holds at one moment.
type state struct {
	records map[string]store.Record
	journal []store.Change // change number n is at n-1
	cursors map[string]uint64
	answers map[string]answer
	left    chan struct{} // closed when another state follows
}

// answer is an answer with the time it was given.
type answer struct {
	store.Answer
	at time.Time
}

func (s *state) clone() *state {
	return &state{
		records: maps.Clone(s.records),
		journal: slices.Clip(s.journal), // so that appending makes a copy
		cursors: maps.Clone(s.cursors),
		answers: maps.Clone(s.answers),
		left:    make(chan struct{}),
	}
}

func (s *state) head() uint64 { return uint64(len(s.journal)) }

// Write is store.Store's.
func (s *Store) Write(ctx context.Context, do func(store.Tx) error) error {
	return s.transact(ctx, func(t *tx) error { return do(t) })
}

// Forget is store.Store's.
func (s *Store) Forget(ctx context.Context, before time.Time) (n int, err error) {
	err = s.transact(ctx, func(t *tx) error {
		all := len(t.answers)
		maps.DeleteFunc(t.answers, func(_ string, a answer) bool { return a.at.UnixMicro() < before.UnixMicro() })
		n = all - len(t.answers)
		return nil
	})
	if err != nil {
		return 0, err
	}
	return n, nil
}

func (s *Store) transact(ctx context.Context, do func(*tx) error) error {
	if err := s.usable(ctx); err != nil {
		return err
	}
	select {
	case s.write <- struct{}{}:
	case <-s.closed:
		return store.ErrClosed
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { <-s.write }()
	old := s.now.Load()
	t := &tx{view: view{state: old.clone()}, now: s.clock().UTC().Truncate(time.Microsecond)}
	if n := len(old.journal); n > 0 && t.now.Before(old.journal[n-1].Time) {
		t.now = old.journal[n-1].Time
	}
	defer func() { t.ended = store.ErrOver }()
	if err := do(t); err != nil {
		return err
	}
	if err := t.usable(ctx); err != nil {
		return err
	}
	s.now.Store(t.state)
	close(old.left)
	return nil
}

// Wait is store.Store's.
func (s *Store) Wait(ctx context.Context, after uint64) error {
	for {
		if err := s.usable(ctx); err != nil {
			return err
		}
		now := s.now.Load()
		if now.head() > after {
			return nil
		}
		select {
		case <-now.left:
		case <-s.closed:
		case <-ctx.Done():
		}
	}
}

// Close is store.Store's.
func (s *Store) Close() error {
	s.once.Do(func() {
		close(s.closed)
		s.write <- struct{}{} // waits for the transaction under way
	})
	return nil
}

func (s *Store) usable(ctx context.Context) error {
	select {
	case <-s.closed:
		return store.ErrClosed
	default:
		return ctx.Err()
	}
}
