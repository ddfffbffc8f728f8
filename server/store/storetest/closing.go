package storetest

import (
	"testing"

	"heirpress/server/store"
)

func closing(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"calls after":      closeAfter,
		"waits for writes": closeWaits,
	})
}

func closeAfter(t *testing.T, s store.Store) {
	create(t, s, keyed("a", "", "k"))
	for range 2 { // the second does nothing
		if err := s.Close(); err != nil {
			t.Fatalf("Close: %v", err)
		}
	}
	for call, err := range callStore(t.Context(), s) {
		wantErr(t, call, err, store.ErrClosed)
	}
}

func closeWaits(t *testing.T, s store.Store) {
	closed := make(chan error, 1)
	inside := make(chan struct{})
	go func() {
		<-inside
		closed <- s.Close()
	}()
	write(t, s, func(tx store.Tx) error {
		close(inside)
		_, err := tx.Create(t.Context(), lot("a", ""))
		select {
		case <-closed:
			t.Error("Close returned while a transaction was under way")
		default:
		}
		return err
	})
	if err := <-closed; err != nil {
		t.Errorf("Close: %v", err)
	}
}
