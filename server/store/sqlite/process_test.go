package sqlite_test

import (
	"context"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"heirpress/server/store"
	"heirpress/server/store/sqlite"
	"heirpress/server/store/storetest"
)

// Two stores on one file share nothing but the file, as two processes do.

// TestTwoWrite has two stores write to one file at once.
func TestTwoWrite(t *testing.T) {
	path := filepath.Join(t.TempDir(), "registry.db")
	stores := []*sqlite.Store{open(t, path), open(t, path)}
	var all sync.WaitGroup
	for _, s := range stores {
		all.Go(func() {
			for range 60 {
				if err := writeNext(t.Context(), s); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	for _, s := range stores {
		if err := checkWritten(t.Context(), s, 120); err != nil {
			t.Error(err)
		}
	}
}

// TestTwoWait waits on one store for what is written by another.
func TestTwoWait(t *testing.T) {
	path := filepath.Join(t.TempDir(), "registry.db")
	here, there := open(t, path), open(t, path)
	done := make(chan error)
	go func() { done <- here.Wait(t.Context(), 0) }()
	writeStory(t, there)
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	checkStory(t, here)
}

// TestWaitHere waits for what is written by the same store, without polling.
func TestWaitHere(t *testing.T) {
	defer sqlite.Poll(time.Hour)()
	s := open(t, filepath.Join(t.TempDir(), "registry.db"))
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	for i := range uint64(20) {
		done := make(chan error)
		go func() { done <- s.Wait(ctx, 5*i) }()
		if err := writeNext(t.Context(), s); err != nil {
			t.Fatal(err)
		}
		if err := <-done; err != nil {
			t.Fatal(err)
		}
		if err := writeNext(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
}

// TestTwoClocks: times do not run backwards, whichever process wrote last.
func TestTwoClocks(t *testing.T) {
	path := filepath.Join(t.TempDir(), "registry.db")
	stores := []*sqlite.Store{
		open(t, path, sqlite.Clock(clockAt(2032))),
		open(t, path, sqlite.Clock(clockAt(2031))),
	}
	for i := range 6 {
		if err := writeNext(t.Context(), stores[i%2]); err != nil {
			t.Fatal(err)
		}
	}
	if err := storetest.Check(t.Context(), stores[0]); err != nil {
		t.Error(err)
	}
	err := stores[1].Write(t.Context(), func(tx store.Tx) error {
		if tx.Now().Year() != 2032 {
			t.Errorf("Now is %v, before the journal's last entry", tx.Now())
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

// clockAt is a clock that stands still in a year.
func clockAt(year int) func() time.Time {
	return func() time.Time { return time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC) }
}
