package storetest

import (
	"context"
	"fmt"
	"testing"

	"heirpress/server/store"
)

func waiting(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"not at all":       waitNone,
		"until a commit":   waitCommit,
		"many":             waitMany,
		"until cancelled":  waitCancelled,
		"until closed":     waitClosed,
		"not for an error": waitError,
	})
}

// waiter starts waiting and returns where its end is told.
func waiter(ctx context.Context, s store.Store, after uint64) <-chan error {
	done := make(chan error, 1)
	go func() { done <- s.Wait(ctx, after) }()
	return done
}

func waitNone(t *testing.T, s store.Store) {
	create(t, s, lot("a", ""), lot("b", ""))
	if err := s.Wait(t.Context(), 1); err != nil {
		t.Errorf("Wait: %v", err)
	}
}

func waitCommit(t *testing.T, s store.Store) {
	for i := range uint64(50) {
		done := waiter(t.Context(), s, i)
		create(t, s, lot(fmt.Sprint(i), ""))
		if err := <-done; err != nil {
			t.Fatalf("Wait: %v", err)
		}
		wantSame(t, "Head", must[uint64](t)(s.Head(t.Context())), i+1)
	}
}

func waitMany(t *testing.T, s store.Store) {
	var all []<-chan error
	for i := range uint64(30) {
		all = append(all, waiter(t.Context(), s, i%3))
	}
	for i := range 3 {
		create(t, s, lot(fmt.Sprint(i), ""))
	}
	for _, done := range all {
		if err := <-done; err != nil {
			t.Errorf("Wait: %v", err)
		}
	}
}

func waitCancelled(t *testing.T, s store.Store) {
	ctx, cancel := context.WithCancel(t.Context())
	done := waiter(ctx, s, 0)
	cancel()
	wantErr(t, "Wait", <-done, context.Canceled)
}

func waitClosed(t *testing.T, s store.Store) {
	done := waiter(t.Context(), s, 0)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	wantErr(t, "Wait", <-done, store.ErrClosed)
}

// waitError: a transaction undone wakes nobody who then finds nothing.
func waitError(t *testing.T, s store.Store) {
	ctx, cancel := context.WithCancel(t.Context())
	done := waiter(ctx, s, 0)
	_ = s.Write(t.Context(), func(tx store.Tx) error {
		must[store.Record](t)(tx.Create(t.Context(), lot("a", "")))
		return errRefused
	})
	remember(t, s, store.Answer{ID: "q"}) // a commit without a change
	cancel()
	wantErr(t, "Wait", <-done, context.Canceled)
}
