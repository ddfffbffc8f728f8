package sqlite_test

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"testing"

	"heirpress/server/store"
	"heirpress/server/store/sqlite"
)

// The size of a lot with a description of a few sentences.
var body = bytes.Repeat([]byte("platen "), 500/7)

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
		b.Fatal(err)
	}
}

func numbered(i int) store.Record {
	return store.Record{Name: name(i), Collection: store.Lots, Parent: "shops/bench", Key: fmt.Sprint(i), Body: body}
}

func name(i int) string { return fmt.Sprintf("shops/bench/lots/%d", i) }

// filled opens a registry of 10,000 lots.
func filled(b *testing.B) (*sqlite.Store, string) {
	path := filepath.Join(b.TempDir(), "registry.db")
	s := open(b, path)
	for i := range 20 {
		fill(b, s, i*500, 500)
	}
	return s, path
}

func BenchmarkWriteOne(b *testing.B) {
	s := open(b, filepath.Join(b.TempDir(), "registry.db"))
	i := 0
	for b.Loop() {
		fill(b, s, i, 1)
		i++
	}
}

func BenchmarkWriteBatch500(b *testing.B) {
	s := open(b, filepath.Join(b.TempDir(), "registry.db"))
	i := 0
	for b.Loop() {
		fill(b, s, i, 500)
		i += 500
	}
	b.ReportMetric(float64(i)/b.Elapsed().Seconds(), "records/s")
}

func BenchmarkGet(b *testing.B) {
	s, _ := filled(b)
	i := 0
	for b.Loop() {
		if _, err := s.Get(b.Context(), name(i%10_000)); err != nil {
			b.Fatal(err)
		}
		i += 7919
	}
}

func BenchmarkList100(b *testing.B) {
	s, _ := filled(b)
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
	s, _ := filled(b)
	i := 0
	for b.Loop() {
		if got, err := s.Changes(b.Context(), uint64(i%9_000), 1000, store.Lots); err != nil || len(got) != 1000 {
			b.Fatal(len(got), err)
		}
		i += 7919
	}
}

// BenchmarkOpen opens a registry of 10,000 lots, reads one and closes it, as the
// command line does.
func BenchmarkOpen(b *testing.B) {
	s, path := filled(b)
	s.Close()
	for b.Loop() {
		s, err := sqlite.Open(path)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := s.Get(context.Background(), name(5000)); err != nil {
			b.Fatal(err)
		}
		s.Close()
	}
}
