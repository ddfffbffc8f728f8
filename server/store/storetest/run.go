// Package storetest holds an engine to what package store promises: Run is the
// suite of its behaviour, Compare plays the same random operations on two engines
// and compares every answer, and Check tells whether a registry agrees with its
// own journal.
package storetest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"heirpress/server/store"
)

// Open makes an empty store for one test, closed at its end, that tells the time
// by clock.
type Open func(t *testing.T, clock func() time.Time) store.Store

// Run tests every promise of the interface.
func Run(t *testing.T, open Open) {
	for _, part := range []struct {
		name string
		test func(*testing.T, Open)
	}{
		{"Records", records},
		{"Keys", keys},
		{"Listing", listing},
		{"Journal", journal},
		{"Transactions", transactions},
		{"Answers", answers},
		{"Cursors", cursors},
		{"Waiting", waiting},
		{"Together", together},
		{"Context", contexts},
		{"Closing", closing},
		{"Moving", moving},
	} {
		t.Run(part.name, func(t *testing.T) { part.test(t, open) })
	}
}

// cases runs tests that need a store each, on the wall clock.
func cases(t *testing.T, open Open, tests map[string]func(*testing.T, store.Store)) {
	for name, test := range tests {
		t.Run(name, func(t *testing.T) { test(t, open(t, time.Now)) })
	}
}

// lot is a record to write.
func lot(name, parent string) store.Record {
	return store.Record{Name: name, Collection: store.Lots, Parent: parent, Body: []byte("body of " + name)}
}

// write runs do in a transaction that must succeed.
func write(t *testing.T, s store.Store, do func(store.Tx) error) {
	t.Helper()
	if err := s.Write(t.Context(), do); err != nil {
		t.Fatalf("Write: %v", err)
	}
}

// create writes new records in one transaction and returns them as written.
func create(t *testing.T, s store.Store, records ...store.Record) []store.Record {
	t.Helper()
	var written []store.Record
	write(t, s, func(tx store.Tx) error {
		for _, r := range records {
			w, err := tx.Create(t.Context(), r)
			if err != nil {
				return err
			}
			written = append(written, w)
		}
		return nil
	})
	return written
}

// update writes one record anew.
func update(t *testing.T, s store.Store, r store.Record) (written store.Record) {
	t.Helper()
	write(t, s, func(tx store.Tx) (err error) {
		written, err = tx.Update(t.Context(), r)
		return err
	})
	return written
}

// remove deletes one record.
func remove(t *testing.T, s store.Store, name string) (change uint64) {
	t.Helper()
	write(t, s, func(tx store.Tx) (err error) {
		change, err = tx.Delete(t.Context(), name)
		return err
	})
	return change
}

// must returns what a call answered, or fails the test.
func must[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatalf("unexpected error: %v", err)
		}
		return v
	}
}

// wantErr fails the test unless err is, or wraps, want.
func wantErr(t *testing.T, what string, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Errorf("%s: error %v, want %v", what, err, want)
	}
}

// wantExists fails the test unless err is exactly this *store.ExistsError.
func wantExists(t *testing.T, what string, err error, want store.ExistsError) {
	t.Helper()
	var got *store.ExistsError
	if !errors.As(err, &got) || *got != want {
		t.Errorf("%s: error %v, want %v", what, err, &want)
	}
}

// wantInvalid fails the test unless err is a *store.InvalidError for a field.
func wantInvalid(t *testing.T, what string, err error, field string) {
	t.Helper()
	var got *store.InvalidError
	if !errors.As(err, &got) || got.Field != field {
		t.Errorf("%s: error %v, want one that names %s", what, err, field)
	}
}

// wantSame fails the test unless two answers read the same.
func wantSame(t *testing.T, what string, got, want any) {
	t.Helper()
	if g, w := text(got), text(want); g != w {
		t.Errorf("%s:\n got %s\nwant %s", what, g, w)
	}
}

// text writes an answer so that equal ones read the same: nil and empty bytes,
// and nil and empty lists, are equal.
func text(v any) string {
	switch v := v.(type) {
	case store.Record:
		return fmt.Sprintf("{%q %s under %q key %q open %v body %q %d..%d}",
			v.Name, v.Collection, v.Parent, v.Key, v.Open, v.Body, v.Created, v.Revision)
	case store.Change:
		return fmt.Sprintf("%d %v op %d %s", v.Number, v.Time, v.Op, text(v.Record))
	case store.Answer:
		return fmt.Sprintf("{%q %q %q %d}", v.ID, v.Fingerprint, v.Body, v.Change)
	case []store.Record:
		return texts(v)
	case []store.Change:
		return texts(v)
	case []store.Answer:
		return texts(v)
	}
	return fmt.Sprint(v)
}

func texts[T any](all []T) string {
	s := ""
	for _, v := range all {
		s += "\n\t" + text(v)
	}
	return s
}

// names returns the names of records.
func names(records []store.Record) []string {
	var all []string
	for _, r := range records {
		all = append(all, r.Name)
	}
	return all
}

// sorted orders records by name, for answers in no set order.
func sorted(records []store.Record) []store.Record {
	return slices.SortedFunc(slices.Values(records), func(a, b store.Record) int {
		if a.Name < b.Name {
			return -1
		}
		return 1
	})
}

// errRefused is an error for a transaction to end with.
var errRefused = errors.New("refused by the test")

// canceled is a context already over.
func canceled() context.Context {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	return ctx
}
