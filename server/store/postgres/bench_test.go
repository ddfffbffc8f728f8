//go:build unix

package postgres_test

import (
	"bytes"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"

	"heirpress/server/store"
	"heirpress/server/store/postgres"
	"heirpress/server/store/postgres/pgtest"
)

// The size of a lot with a description of a few sentences.
var body = bytes.Repeat([]byte("platen "), 500/7)

func numbered(i int) store.Record {
	return store.Record{Name: name(i), Collection: store.Lots, Parent: "shops/bench", Key: fmt.Sprint(i), Body: body}
}

func name(i int) string { return fmt.Sprintf("shops/bench/lots/%d", i) }

// fill creates lots of one shop, numbered from a number on, in one transaction.
func fill(b *testing.B, s store.Store, from, n int) {
	err := s.Write(b.Context(), func(tx store.Tx) error {
		for i := from; i < from+n; i++ {
			if _, err := tx.Create(b.Context(), numbered(i)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.Error(err)
	}
}

// BenchmarkWrite writes one lot in a transaction: one caller after the other, 16
// at once in one process, and 16 in each of three processes (as far as the
// database can tell).
func BenchmarkWrite(b *testing.B) {
	for _, c := range []struct{ daemons, writers, lots int }{{1, 1, 1}, {1, 16, 1}, {3, 16, 1}, {1, 1, 500}, {1, 4, 500}} {
		b.Run(fmt.Sprintf("daemons=%d/writers=%d/lots=%d", c.daemons, c.writers, c.lots), func(b *testing.B) {
			address := pgtest.Shared(b).Schema()
			var next atomic.Int64
			var all sync.WaitGroup
			stores := make([]*postgres.Store, c.daemons)
			for i := range stores {
				stores[i] = open(b, address)
			}
			b.ResetTimer()
			for _, s := range stores {
				for range c.writers {
					all.Go(func() {
						for i := int(next.Add(1)); i <= b.N; i = int(next.Add(1)) {
							fill(b, s, i*c.lots, c.lots)
						}
					})
				}
			}
			all.Wait()
			b.ReportMetric(float64(b.N*c.lots)/b.Elapsed().Seconds(), "records/s")
		})
	}
}

// filled opens a registry of 10,000 lots.
func filled(b *testing.B) *postgres.Store {
	s := open(b, pgtest.Shared(b).Schema())
	for i := range 20 {
		fill(b, s, i*500, 500)
	}
	return s
}

func BenchmarkGet(b *testing.B) {
	s := filled(b)
	i := 0
	for b.Loop() {
		if _, err := s.Get(b.Context(), name(i%10_000)); err != nil {
			b.Fatal(err)
		}
		i += 7919
	}
}

func BenchmarkList100(b *testing.B) {
	s := filled(b)
	i := 0
	for b.Loop() {
		l := store.Listing{Collection: store.Lots, Parent: "shops/bench", After: uint64(i % 9_900), Limit: 100}
		if got, err := s.List(b.Context(), l); err != nil || len(got) != 100 {
			b.Fatal(len(got), err)
		}
		i += 7919
	}
}

func BenchmarkChanges(b *testing.B) {
	s := filled(b)
	i := 0
	for b.Loop() {
		if got, err := s.Changes(b.Context(), uint64(i%9_000), 1000, store.Lots); err != nil || len(got) != 1000 {
			b.Fatal(len(got), err)
		}
		i += 7919
	}
}
