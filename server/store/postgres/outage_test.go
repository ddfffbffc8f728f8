//go:build unix

package postgres_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"heirpress/server/store"
	"heirpress/server/store/postgres"
	"heirpress/server/store/postgres/pgtest"
	"heirpress/server/store/storetest"
)

var crashes = flag.Int("crashes", 2, "how often TestOutage stops PostgreSQL under the writers")

// TestOutage needs a server that it may stop.
func TestOutage(t *testing.T) {
	server := pgtest.Start(t)
	for _, one := range []struct {
		name string
		test func(*testing.T, *pgtest.Server)
	}{
		{"away", away}, {"tries again", triesAgain}, {"crash", crashing}, {"linear", linear},
	} {
		t.Run(one.name, func(t *testing.T) { one.test(t, server) })
	}
}

// crashing stops PostgreSQL at once and starts it again, over and over, while
// writers of two daemons write. What was acknowledged must be there once. A write
// of unknown outcome is repeated under its request ID and must not be doubled.
func crashing(t *testing.T, server *pgtest.Server) {
	address := server.Schema()
	c := &crash{t: t, server: server}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var all sync.WaitGroup
	for d := range 2 {
		s := open(t, address)
		for w := range 4 {
			all.Go(func() { c.write(ctx, s, fmt.Sprint(d, "-", w)) })
		}
	}
	follower := open(t, address)
	followed := make(chan uint64)
	go func() { followed <- c.follow(ctx, follower) }()
	c.strike(*crashes)
	stop()
	all.Wait()
	s := open(t, address)
	if err := storetest.Check(t.Context(), s); err != nil {
		t.Error(err)
	}
	c.check(s, <-followed)
}

type crash struct {
	t      *testing.T
	server *pgtest.Server

	mu           sync.Mutex
	acknowledged []string
	unknown      int // of which the outcome was
	refused      int // told to try again
	last         atomic.Int64
}

// strike crashes the server again and again, and logs how long the writers
// stood still.
func (c *crash) strike(times int) {
	var still []time.Duration
	for i := range times {
		time.Sleep(time.Duration(100+rand.IntN(200)) * time.Millisecond)
		if i%2 == 1 {
			c.server.Kill(c.t)
		} else {
			c.server.Crash(c.t)
		}
		down := time.Now()
		c.server.Restart(c.t)
		up := time.Now()
		for c.last.Load() < up.UnixNano() && time.Since(up) < aLongTime {
			time.Sleep(time.Millisecond)
		}
		still = append(still, time.Since(up))
		c.t.Logf("crash %d: PostgreSQL answered after %v, the first write was acknowledged %v later", i+1,
			up.Sub(down).Round(time.Millisecond), time.Since(up).Round(time.Millisecond))
	}
	if slices.Max(still) >= aLongTime {
		c.t.Error("the writers never went on")
	}
}

// write makes one write after the other until ctx is done, and sees each
// through until its outcome is known.
func (c *crash) write(ctx context.Context, s *postgres.Store, writer string) {
	for i := 0; ctx.Err() == nil; i++ {
		id := fmt.Sprint(writer, "-", i)
		for {
			// Not ctx: the last write too is seen through.
			err := createOnce(context.WithoutCancel(ctx), s, id)
			if err == nil {
				c.acknowledge(id)
				break
			}
			if !c.away(err) {
				return
			}
		}
	}
}

// createOnce makes a record under a request ID: a repeat finds its answer.
func createOnce(ctx context.Context, s store.Store, id string) error {
	return s.Write(ctx, func(tx store.Tx) error {
		if _, err := tx.Recall(ctx, id); err == nil || !errors.Is(err, store.ErrNotFound) {
			return err
		}
		r, err := tx.Create(ctx, store.Record{Name: id, Collection: store.Lots, Key: id})
		if err != nil {
			return err
		}
		return tx.Remember(ctx, store.Answer{ID: id, Change: r.Revision})
	})
}

func (c *crash) acknowledge(id string) {
	c.last.Store(time.Now().UnixNano())
	c.mu.Lock()
	defer c.mu.Unlock()
	c.acknowledged = append(c.acknowledged, id)
}

// away tells whether an error says that the database is away for now.
func (c *crash) away(err error) bool {
	var away *store.UnavailableError
	if !errors.As(err, &away) {
		c.t.Errorf("error %v, want one that says the store is unavailable", err)
		return false
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if away.Unknown {
		c.unknown++
	} else {
		c.refused++
	}
	return true
}

// follow reads the journal by its numbers alone until ctx is done, and returns
// how far it came.
func (c *crash) follow(ctx context.Context, s *postgres.Store) (at uint64) {
	for s.Wait(ctx, at) == nil {
		changes, err := s.Changes(ctx, at, 0)
		if err != nil && ctx.Err() == nil && !c.away(err) {
			return at
		}
		for _, one := range changes {
			if at++; one.Number != at {
				c.t.Errorf("change %d came in the place of %d", one.Number, at)
				return at
			}
		}
	}
	return at
}

func (c *crash) check(s *postgres.Store, followed uint64) {
	t := c.t
	head, err := s.Head(t.Context())
	if err != nil || head != uint64(len(c.acknowledged)) || followed > head {
		t.Errorf("%d writes were acknowledged; the journal has %d, of which one followed %d; %v", len(c.acknowledged), head, followed, err)
	}
	for _, id := range c.acknowledged {
		if past, err := s.History(t.Context(), id, 0, 0); err != nil || len(past) != 1 {
			t.Errorf("%s was acknowledged; its history has %d entries, error %v", id, len(past), err)
		}
	}
	t.Logf("%d writes acknowledged; %d commits of unknown outcome, %d calls told to try again", len(c.acknowledged), c.unknown, c.refused)
}

// away: while the database is away, calls say so; when it is back, the same
// store goes on, and who waited is woken.
func away(t *testing.T, server *pgtest.Server) {
	s := open(t, server.Schema(), postgres.Patience(50*time.Millisecond))
	if err := add(t.Context(), s, "a"); err != nil {
		t.Fatal(err)
	}
	server.Crash(t)
	var away *store.UnavailableError
	if _, err := s.Get(t.Context(), "a"); !errors.As(err, &away) || away.Unknown {
		t.Errorf("Get: error %v", err)
	}
	if err := add(t.Context(), s, "b"); !errors.As(err, &away) || away.Unknown {
		t.Errorf("Write: error %v", err)
	}
	woken := make(chan error, 1)
	go func() { woken <- s.Wait(t.Context(), 1) }()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	if err := s.Wait(ctx, 1); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("Wait: error %v", err)
	}
	server.Restart(t)
	for add(t.Context(), s, "b") != nil {
		time.Sleep(10 * time.Millisecond)
	}
	if err := <-woken; err != nil {
		t.Errorf("Wait: %v", err)
	}
}

// triesAgain: a write that begins while the database is away is made when it is
// back, if that is soon.
func triesAgain(t *testing.T, server *pgtest.Server) {
	s := open(t, server.Schema(), postgres.Patience(aLongTime))
	server.Crash(t)
	done := make(chan error)
	go func() { done <- add(t.Context(), s, "a") }()
	server.Restart(t)
	if err := <-done; err != nil {
		t.Error(err)
	}
}

// TestRunsAgain cuts the connection in the middle of a transaction: it is run
// again, and made once.
func TestRunsAgain(t *testing.T) {
	server := pgtest.Shared(t)
	address := server.Schema()
	s := open(t, address)
	if err := add(t.Context(), s, "a"); err != nil {
		t.Fatal(err)
	}
	runs := 0
	err := s.Write(t.Context(), func(tx store.Tx) error {
		if runs++; runs == 1 {
			cutWriters(t, server, address)
		}
		_, err := tx.Create(t.Context(), store.Record{Name: "b", Collection: store.Lots})
		return err
	})
	if err != nil || runs != 2 {
		t.Errorf("run %d times, error %v", runs, err)
	}
}
