package store_test

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"heirpress/server/store"
	"heirpress/server/store/memory"
)

// All records of a listing come, each once and in order, whatever the page, also
// those that are written meanwhile; and no more than are asked for.
func TestEach(t *testing.T) {
	s := memory.New()
	defer s.Close()
	add := func(n int) {
		t.Helper()
		if err := s.Write(t.Context(), func(tx store.Tx) error {
			_, err := tx.Create(t.Context(), store.Record{Name: fmt.Sprint("shops/", n), Collection: store.Shops})
			return err
		}); err != nil {
			t.Fatal(err)
		}
	}
	for n := range 7 {
		add(n)
	}
	for _, limit := range []int{0, 1, 3, 7, 100} {
		n := 0
		for r, err := range store.Each(t.Context(), s, store.Listing{Collection: store.Shops, Limit: limit}) {
			if err != nil || r.Name != fmt.Sprint("shops/", n) {
				t.Fatalf("limit %d, record %d: %q, %v", limit, n, r.Name, err)
			}
			n++
		}
		if n != 7 {
			t.Errorf("limit %d: %d records", limit, n)
		}
	}
	n := 0
	for range store.Each(t.Context(), s, store.Listing{Collection: store.Shops, Limit: 2}) {
		if n++; n == 3 {
			add(7)
		}
	}
	if n != 8 {
		t.Errorf("%d records, one of them written meanwhile", n)
	}
	for range store.Each(t.Context(), s, store.Listing{Collection: store.Shops}) {
		break // and nothing comes after that
	}
}

func TestEachTellsOfAnError(t *testing.T) {
	s := memory.New()
	defer s.Close()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	n := 0
	for r, err := range store.Each(ctx, s, store.Listing{Collection: store.Shops}) {
		if n++; !errors.Is(err, context.Canceled) || r.Name != "" {
			t.Errorf("%v, %v", r, err)
		}
	}
	if n != 1 {
		t.Errorf("told %d times", n)
	}
}
