//go:build unix

package postgres_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"heirpress/server/store"
	"heirpress/server/store/postgres"
	"heirpress/server/store/postgres/pgtest"
	"heirpress/server/store/storetest"
)

var errRefused = errors.New("refused by the test")

func add(ctx context.Context, s store.Store, name string) error {
	return s.Write(ctx, func(tx store.Tx) error {
		_, err := tx.Create(ctx, store.Record{Name: name, Collection: store.Lots})
		return err
	})
}

// TestLateCommit holds a transaction open that was the first to begin, while
// writers of three daemons write and each daemon follows the journal. If numbers
// were given out before the order of commits is settled, the held one would
// appear behind a follower's back.
func TestLateCommit(t *testing.T) {
	const daemons, writers, each = 3, 4, 20
	server := pgtest.Shared(t)
	address := server.Schema()
	ctx, cancel := context.WithTimeout(t.Context(), aLongTime)
	defer cancel()
	var all sync.WaitGroup
	for d := range daemons {
		s := open(t, address)
		all.Go(func() { follow(ctx, t, s, 1+daemons*writers*each) })
		for w := range writers {
			all.Go(func() {
				for i := range each {
					if err := add(t.Context(), s, fmt.Sprint(d, "-", w, "-", i)); err != nil {
						t.Error(err)
					}
				}
			})
		}
	}
	holder := open(t, address)
	err := holder.Write(t.Context(), func(tx store.Tx) error {
		r, err := tx.Create(t.Context(), store.Record{Name: "held", Collection: store.Lots})
		if err != nil {
			return err
		}
		time.Sleep(300 * time.Millisecond) // others would have committed by now
		head, err := holder.Head(t.Context())
		if err == nil && head >= r.Revision {
			err = fmt.Errorf("the head is %d while change %d is not committed", head, r.Revision)
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
	all.Wait()
	if err := storetest.Check(t.Context(), holder); err != nil {
		t.Error(err)
	}
}

// follow reads the journal to a change number by its number alone.
func follow(ctx context.Context, t *testing.T, s store.Store, to uint64) {
	for at := uint64(0); at < to; {
		if err := s.Wait(ctx, at); err != nil {
			t.Error(err)
			return
		}
		changes, err := s.Changes(t.Context(), at, 7)
		if err != nil || len(changes) == 0 {
			t.Errorf("after Wait: %d changes, error %v", len(changes), err)
			return
		}
		for _, c := range changes {
			if at++; c.Number != at {
				t.Errorf("change %d came in the place of %d", c.Number, at)
				return
			}
		}
	}
}

// TestHeldLock has somebody else's transaction sit on the lock: a writer waits,
// can be cancelled meanwhile, and goes on when it is let go.
func TestHeldLock(t *testing.T) {
	server := pgtest.Shared(t)
	address := server.Schema()
	s := open(t, address)
	c, err := pgx.Connect(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(context.Background())
	if _, err := c.Exec(t.Context(), `BEGIN; SELECT FROM registry FOR UPDATE`); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if err := add(ctx, s, "a"); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("error %v, want that time ran out", err)
	}
	done := make(chan error)
	go func() { done <- add(t.Context(), s, "b") }()
	if _, err := c.Exec(t.Context(), `ROLLBACK`); err != nil {
		t.Fatal(err)
	}
	if err := <-done; err != nil {
		t.Error(err)
	}
	if _, err := s.Get(t.Context(), "a"); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("the cancelled write: %v", err)
	}
}

// TestMembers has many writers in one group end in every way there is: each
// write is made or not by itself, whatever becomes of its neighbours.
func TestMembers(t *testing.T) {
	const writers, each = 12, 25
	s := open(t, pgtest.Shared(t).Schema())
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	var all sync.WaitGroup
	for w := range writers {
		random := rand.New(rand.NewPCG(seed, uint64(w)))
		all.Go(func() {
			for i := range each {
				name := fmt.Sprint(w, "-", i)
				made := member(t, s, name, random.IntN(8))
				_, err := s.Get(t.Context(), name)
				if made != (err == nil) || err != nil && !errors.Is(err, store.ErrNotFound) {
					t.Errorf("%s: acknowledged %t, but reading it: %v", name, made, err)
				}
			}
		})
	}
	all.Wait()
	if err := storetest.Check(t.Context(), s); err != nil {
		t.Error(err)
	}
}

// member writes two records in one of several ways, and tells whether that was
// acknowledged.
func member(t *testing.T, s *postgres.Store, name string, way int) (made bool) {
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	defer func() {
		if way == 1 && recover() != errRefused {
			t.Errorf("%s: the panic did not go on", name)
		}
	}()
	err := s.Write(ctx, func(tx store.Tx) error {
		for _, n := range []string{name, name + "'"} {
			if _, err := tx.Create(ctx, store.Record{Name: n, Collection: store.Lots}); err != nil {
				return err
			}
			switch way {
			case 0:
				return errRefused
			case 1:
				panic(errRefused)
			case 2:
				cancel()
			case 3:
				// In the middle of a statement, or soon after it.
				time.AfterFunc(50*time.Microsecond, cancel)
			}
		}
		_, err := tx.Create(ctx, store.Record{Name: name, Collection: store.Lots})
		var exists *store.ExistsError
		if err == nil || !errors.As(err, &exists) && ctx.Err() == nil {
			return fmt.Errorf("made twice: %w", err)
		}
		return ctx.Err()
	})
	switch {
	case err == nil && way < 3, way > 3 && err != nil:
		t.Errorf("%s, way %d: error %v", name, way, err)
	case err != nil && way == 0 && err != errRefused, err != nil && way > 1 && !errors.Is(err, context.Canceled):
		t.Errorf("%s, way %d: error %v", name, way, err)
	}
	return err == nil
}

// TestNotToldTooSoon: what a member has seen of another counts only if it is
// committed. One creates a record, and the next is refused because of it; then
// the connection is lost, and the first gives up.
func TestNotToldTooSoon(t *testing.T) {
	server := pgtest.Shared(t)
	address := server.Schema()
	s := open(t, address)
	ctx, giveUp := context.WithCancel(t.Context())
	defer giveUp()
	runs := 0
	second := make(chan error, 1)
	err := s.Write(ctx, func(tx store.Tx) error {
		_, err := tx.Create(ctx, store.Record{Name: "a", Collection: store.Lots})
		go func() {
			second <- s.Write(t.Context(), func(tx store.Tx) error {
				_, err := tx.Create(t.Context(), store.Record{Name: "a", Collection: store.Lots})
				if runs++; runs == 1 {
					var exists *store.ExistsError
					if !errors.As(err, &exists) {
						t.Errorf("error %v, want that the name is taken", err)
					}
					giveUp()
					cutWriters(t, server, address)
					_, _ = tx.Get(t.Context(), "b") // it notices
				}
				return err
			})
		}()
		for s.InLine() == 0 {
			time.Sleep(time.Millisecond)
		}
		return err
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("the first: error %v", err)
	}
	if err := <-second; err != nil || runs != 2 {
		t.Errorf("the second ran %d times: error %v", runs, err)
	}
}

// cutWriters ends the connection of whoever writes to a registry.
func cutWriters(t *testing.T, server *pgtest.Server, address string) {
	server.Exec(t, fmt.Sprintf(`SELECT pg_terminate_backend(pid) FROM pg_locks
		WHERE relation = '%s.registry'::regclass AND mode = 'RowShareLock'`, schemaOf(address)))
}

// TestWakesOthers: a commit of one process wakes those who wait in another.
func TestWakesOthers(t *testing.T) {
	address := pgtest.Shared(t).Schema()
	one, other := open(t, address), open(t, address)
	for i := range uint64(20) {
		woken := make(chan error, 1)
		go func() { woken <- other.Wait(t.Context(), i) }()
		if err := add(t.Context(), one, fmt.Sprint(i)); err != nil {
			t.Fatal(err)
		}
		if err := <-woken; err != nil {
			t.Fatal(err)
		}
	}
}

// TestLargestTexts: names, parents and keys of the greatest length, of bytes
// that do not compress.
func TestLargestTexts(t *testing.T) {
	s := open(t, pgtest.Shared(t).Schema())
	text := func(seed uint64) string {
		random := rand.New(rand.NewPCG(seed, 0))
		b := make([]byte, store.MaxText)
		for i := range b {
			b[i] = byte(1 + random.IntN(127))
		}
		return string(b)
	}
	r := store.Record{Name: text(1), Collection: store.Collection(text(2)), Parent: text(3), Key: text(4)}
	err := s.Write(t.Context(), func(tx store.Tx) error {
		if _, err := tx.Create(t.Context(), r); err != nil {
			return err
		}
		if err := tx.MoveCursor(t.Context(), text(5), 1); err != nil {
			return err
		}
		return tx.Remember(t.Context(), store.Answer{ID: text(6)})
	})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := s.Find(t.Context(), r.Collection, r.Parent, r.Key); err != nil || got.Name != r.Name {
		t.Errorf("Find: %v", err)
	}
}
