package sqlite_test

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/ncruces/go-sqlite3"

	"heirpress/server/store"
	"heirpress/server/store/sqlite"
)

// TestDiskFaults has the disk refuse to write or to sync: nothing is written,
// the error says so, and when the disk is well the store goes on.
func TestDiskFaults(t *testing.T) {
	for _, c := range []struct {
		fault error
		says  string
	}{
		{sqlite3.FULL, "no room on the disk"},
		{sqlite3.IOERR, "disk I/O error"},
	} {
		t.Run(c.says, func(t *testing.T) {
			d, name := newDisk(t)
			path := filepath.Join(t.TempDir(), "registry.db")
			s := open(t, path, sqlite.OnVFS(name))
			for i := range 3 {
				if err := writeNext(t.Context(), s); err != nil {
					t.Fatal(err)
				}
				d.fault = c.fault
				err := writeNext(t.Context(), s)
				d.fault = nil
				if !errors.Is(err, c.fault) || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), path) {
					t.Errorf("error %v, want one that says %q and names the file", err, c.says)
				}
				if err := checkWritten(t.Context(), s, i+1); err != nil {
					t.Error(err)
				}
			}
			if n, err := lastWritten(t.Context(), s); n != 3 || err != nil {
				t.Errorf("%d transactions are there, want 3; error %v", n, err)
			}
		})
	}
}

// TestFaultHidden has the disk fail in the middle of a transaction, which SQLite
// then undoes, and the function hide that: what it writes next must not be
// written on its own.
func TestFaultHidden(t *testing.T) {
	d, name := newDisk(t)
	s := open(t, filepath.Join(t.TempDir(), "registry.db"), sqlite.OnVFS(name))
	big := make([]byte, store.MaxBody) // more than SQLite keeps from the disk until the commit
	err := s.Write(t.Context(), func(tx store.Tx) error {
		d.fault = sqlite3.IOERR
		_, first := tx.Create(t.Context(), store.Record{Name: "a", Collection: store.Lots, Body: big})
		d.fault = nil
		_, second := tx.Create(t.Context(), store.Record{Name: "b", Collection: store.Lots})
		if !errors.Is(first, sqlite3.IOERR) || !errors.Is(second, sqlite3.IOERR) {
			t.Errorf("errors %v, then %v; want the disk's twice", first, second)
		}
		return nil
	})
	if !errors.Is(err, sqlite3.IOERR) {
		t.Errorf("Write: error %v, want the disk's", err)
	}
	if head, err := s.Head(t.Context()); head != 0 || err != nil {
		t.Errorf("%d changes are there, want none; error %v", head, err)
	}
}

// TestOpenAlone has a disk on which programs cannot share the log.
func TestOpenAlone(t *testing.T) {
	d, name := newDisk(t)
	d.alone = true
	s, err := sqlite.Open(filepath.Join(t.TempDir(), "registry.db"), sqlite.OnVFS(name))
	if err == nil {
		s.Close()
	}
	if err == nil || !strings.Contains(err.Error(), "cannot share memory") {
		t.Errorf("error %v", err)
	}
}

// locked opens a registry that another program is writing to.
func locked(t *testing.T) *sqlite.Store {
	t.Helper()
	path := registry(t)
	s := open(t, path)
	db, err := sqlite3.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	if err := db.Exec(`BEGIN IMMEDIATE`); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestBusy(t *testing.T) {
	defer sqlite.Patience(20 * time.Millisecond)()
	s := locked(t)
	err := s.Write(t.Context(), func(store.Tx) error { return nil })
	if !errors.Is(err, sqlite3.BUSY) || !strings.Contains(err.Error(), "another program has been writing") {
		t.Errorf("Write: error %v", err)
	}
	checkStory(t, s) // reading goes on
}

func TestBusyCancelled(t *testing.T) {
	s := locked(t)
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Millisecond)
	defer cancel()
	err := s.Write(ctx, func(store.Tx) error { return nil })
	if !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("Write: error %v, want the context's", err)
	}
}
