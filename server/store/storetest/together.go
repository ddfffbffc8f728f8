package storetest

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"

	"heirpress/server/store"
)

func together(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"one writer at a time": togetherWriters,
		"no half transactions": togetherReaders,
	})
}

// togetherWriters has many writers add one to the same record, reading it first.
func togetherWriters(t *testing.T, s store.Store) {
	const writers, each = 8, 15
	create(t, s, store.Record{Name: "sum", Collection: store.Lots, Body: []byte{0}})
	var all sync.WaitGroup
	for range writers {
		all.Go(func() {
			for range each {
				if err := addOne(t.Context(), s); err != nil {
					t.Errorf("Write: %v", err)
				}
			}
		})
	}
	all.Wait()
	wantSame(t, "sum", int(must[store.Record](t)(s.Get(t.Context(), "sum")).Body[0]), writers*each)
	wantSame(t, "Head", must[uint64](t)(s.Head(t.Context())), 1+writers*each)
	if err := Check(t.Context(), s); err != nil {
		t.Error(err)
	}
}

func addOne(ctx context.Context, s store.Store) error {
	return s.Write(ctx, func(tx store.Tx) error {
		r, err := tx.Get(ctx, "sum")
		if err != nil {
			return err
		}
		r.Body[0]++
		_, err = tx.Update(ctx, r)
		return err
	})
}

// togetherReaders changes two records alike in every transaction while readers
// read both, and one follows the journal by its number alone.
func togetherReaders(t *testing.T, s store.Store) {
	const rounds = 100
	create(t, s, lot("left", "pair"), lot("right", "pair"))
	ctx, stop := context.WithCancel(t.Context())
	var readers sync.WaitGroup
	for range 3 {
		readers.Go(func() { repeat(ctx, t, func() error { return readPair(ctx, s) }) })
	}
	readers.Go(func() { follow(t, s, 2+2*rounds) })
	for i := range rounds {
		write(t, s, func(tx store.Tx) error {
			for _, name := range []string{"left", "right"} {
				if _, err := tx.Update(t.Context(), store.Record{Name: name, Body: []byte{byte(i)}}); err != nil {
					return err
				}
			}
			return tx.MoveCursor(t.Context(), "pair", uint64(2+2*(i+1)))
		})
	}
	stop()
	readers.Wait()
}

// repeat reads until ctx is done.
func repeat(ctx context.Context, t *testing.T, read func() error) {
	for ctx.Err() == nil {
		if err := read(); err != nil && !errors.Is(err, context.Canceled) {
			t.Error(err)
			return
		}
	}
}

// readPair reads both records, each way that reads more than one.
func readPair(ctx context.Context, s store.Store) error {
	many, err := s.GetMany(ctx, []string{"left", "right"})
	if err != nil {
		return err
	}
	listed, err := s.List(ctx, store.Listing{Collection: store.Lots, Parent: "pair"})
	if err != nil {
		return err
	}
	changes, err := s.Changes(ctx, 2, 1_000_000)
	if err != nil {
		return err
	}
	head, err := s.Head(ctx)
	if err != nil {
		return err
	}
	for _, pair := range [][]store.Record{many, listed} {
		if len(pair) != 2 || string(pair[0].Body) != string(pair[1].Body) && pair[0].Revision > 2 {
			return fmt.Errorf("half a transaction was read: %s", text(pair))
		}
	}
	if len(changes)%2 != 0 || head%2 != 0 {
		return fmt.Errorf("half a transaction was read: %d changes, head %d", len(changes), head)
	}
	return nil
}

// follow reads the journal to a change number, waiting for each entry.
func follow(t *testing.T, s store.Store, to uint64) {
	for at := uint64(0); at < to; {
		if err := s.Wait(t.Context(), at); err != nil {
			t.Error(err)
			return
		}
		changes, err := s.Changes(t.Context(), at, 3)
		if err != nil || len(changes) == 0 {
			t.Errorf("Changes after Wait: %d of them, error %v", len(changes), err)
			return
		}
		for _, c := range changes {
			if c.Number != at+1 {
				t.Errorf("after change %d came %d", at, c.Number)
				return
			}
			at = c.Number
		}
	}
}
