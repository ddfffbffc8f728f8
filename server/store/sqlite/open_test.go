package sqlite_test

import (
	"bytes"
	"compress/gzip"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/ncruces/go-sqlite3"

	"heirpress/server/store"
	"heirpress/server/store/sqlite"
	"heirpress/server/store/storetest"
)

// registry makes a registry with two lots, closes it and returns its path.
func registry(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "registry.db")
	s, err := sqlite.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	writeStory(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// raw runs SQL on a file, as another program would.
func raw(t *testing.T, path, sql string) {
	t.Helper()
	db, err := sqlite3.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.Exec(sql); err != nil {
		t.Fatal(err)
	}
}

// folder tells every file in the folder of path, with its bytes.
func folder(t *testing.T, path string) string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(filepath.Dir(path), "*"))
	if err != nil {
		t.Fatal(err)
	}
	all := ""
	for _, file := range files {
		all += fmt.Sprintf("%s %x\n", filepath.Base(file), readFile(t, file))
	}
	return all
}

// refuse opens a file that must be refused and left as it is.
func refuse(t *testing.T, path string) error {
	t.Helper()
	was := folder(t, path)
	s, err := sqlite.Open(path)
	if err == nil {
		s.Close()
		t.Fatal("it was opened")
	}
	if folder(t, path) != was {
		t.Error("the refused file, or its folder, was changed")
	}
	if !strings.Contains(err.Error(), path) {
		t.Errorf("the error does not name the file: %v", err)
	}
	return err
}

func wantNewer(t *testing.T, err error, path string) {
	t.Helper()
	var newer *store.NewerError
	want := store.NewerError{Path: path, Found: sqlite.SchemaVersion + 1, Known: sqlite.SchemaVersion}
	if !errors.As(err, &newer) || *newer != want {
		t.Errorf("error %v, want %v", err, &want)
	}
}

func wantUnusable(t *testing.T, err error, reason string) {
	t.Helper()
	var unusable *store.UnusableError
	if !errors.As(err, &unusable) || !strings.Contains(unusable.Reason, reason) {
		t.Errorf("error %v, want that %s", err, reason)
	}
}

// bump is SQL that makes a registry one of a newer program.
func bump() string {
	return fmt.Sprintf("PRAGMA user_version = %d", sqlite.SchemaVersion+1)
}

func TestOpenNewer(t *testing.T) {
	path := registry(t)
	raw(t, path, bump())
	wantNewer(t, refuse(t, path), path)
	d, name := newDisk(t)
	_, err := sqlite.Open(path, sqlite.OnVFS(name))
	wantNewer(t, err, path)
	if len(d.files) > 0 {
		t.Error("SQLite was let to open it")
	}
}

// TestOpenNewerInLog refuses a registry whose newer version stands only in the
// log, as after a crash of the newer program.
func TestOpenNewerInLog(t *testing.T) {
	path := registry(t)
	db, err := sqlite3.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Exec(bump()); err != nil {
		t.Fatal(err)
	}
	left := filepath.Join(t.TempDir(), "left.db")
	for _, end := range []string{"", "-wal"} {
		copyFile(t, path+end, left+end)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	was := folder(t, left)
	_, err = sqlite.Open(left)
	wantNewer(t, err, left)
	if err := os.Remove(left + "-shm"); err != nil { // only an index of the log
		t.Error(err)
	}
	if folder(t, left) != was {
		t.Error("the refused file or its log was changed")
	}
}

// TestWriteNewer brings the schema beyond a program that has the registry open.
func TestWriteNewer(t *testing.T) {
	path := registry(t)
	s := open(t, path)
	raw(t, path, bump())
	err := s.Write(t.Context(), func(store.Tx) error {
		t.Error("the function was run")
		return nil
	})
	wantNewer(t, err, path)
}

func TestOpenForeign(t *testing.T) {
	for name, sql := range map[string]string{
		"plain":   `CREATE TABLE record (name TEXT)`,
		"wal":     `PRAGMA journal_mode = WAL; CREATE TABLE t (a)`,
		"marked":  `PRAGMA application_id = 7; PRAGMA user_version = 1; CREATE TABLE t (a)`,
		"one row": `PRAGMA user_version = 1`,
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "other.db")
			raw(t, path, sql)
			wantUnusable(t, refuse(t, path), "SQLite file of another program")
		})
	}
}

// TestOpenForeignJournal has a file with one beside it that is named as SQLite
// names the journal by which it undoes things, but is not.
func TestOpenForeignJournal(t *testing.T) {
	path := filepath.Join(t.TempDir(), "other.db")
	writeFile(t, path, bytes.Repeat([]byte("letterpress "), 2000))
	writeFile(t, path+"-journal", []byte("its own business"))
	wantUnusable(t, refuse(t, path), "not a heirpress registry")
}

// TestOpenForeignHalf has another program's file as a failure of power leaves it,
// without its beginning: what SQLite brings back is still not a registry.
func TestOpenForeignHalf(t *testing.T) {
	path := filepath.Join(t.TempDir(), "other.db")
	raw(t, path, `CREATE TABLE t (a)`)
	db, err := sqlite3.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Exec(`BEGIN; CREATE TABLE u (a)`); err != nil {
		t.Fatal(err)
	}
	if err := db.CacheFlush(); err != nil {
		t.Fatal(err)
	}
	left := filepath.Join(t.TempDir(), "left.db")
	for _, end := range []string{"", "-journal"} {
		copyFile(t, path+end, left+end)
	}
	if err := errors.Join(db.Exec(`ROLLBACK`), db.Close()); err != nil {
		t.Fatal(err)
	}
	writeFile(t, left, spoil(readFile(t, left), 0, 100))
	_, err = sqlite.Open(left)
	wantUnusable(t, err, "SQLite file of another program")
}

func TestOpenDamaged(t *testing.T) {
	whole := readFile(t, registry(t))
	for name, c := range map[string]struct {
		content []byte
		reason  string
	}{
		"a sheet":        {[]byte("tag,title\n1,Platen\n"), "not a heirpress registry"},
		"long garbage":   {bytes.Repeat([]byte{0xa5}, 100_000), "not a heirpress registry"},
		"zeros":          {make([]byte, 8192), "not a heirpress registry"},
		"ten bytes":      {whole[:10], "not a heirpress registry"},
		"half a header":  {whole[:50], "cut off"},
		"header only":    {whole[:100], "damaged"},
		"cut in a page":  {whole[:len(whole)/2+100], "damaged"},
		"cut at a page":  {whole[:len(whole)-4096], "damaged"},
		"schema spoiled": {spoil(whole, 100, 4096), "damaged"},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "registry.db")
			writeFile(t, path, c.content)
			wantUnusable(t, refuse(t, path), c.reason)
		})
	}
}

// TestDamagedInside spoils pages that opening does not read.
func TestDamagedInside(t *testing.T) {
	path := registry(t)
	whole := readFile(t, path)
	writeFile(t, path, spoil(whole, 4096, len(whole)))
	s := open(t, path)
	_, err := s.Get(t.Context(), "a")
	wantUnusable(t, err, "damaged")
	err = s.Write(t.Context(), func(tx store.Tx) error {
		_, err := tx.Create(t.Context(), store.Record{Name: "x", Collection: store.Lots})
		return err
	})
	wantUnusable(t, err, "damaged")
}

// spoil returns a copy with some bytes overwritten.
func spoil(content []byte, from, to int) []byte {
	content = bytes.Clone(content)
	for i := from; i < to; i++ {
		content[i] = 0x5a
	}
	return content
}

func TestOpenPaths(t *testing.T) {
	_, err := sqlite.Open("")
	var invalid *store.InvalidError
	if !errors.As(err, &invalid) || invalid.Field != "path" {
		t.Errorf("no path: error %v", err)
	}
	dir := t.TempDir()
	for _, path := range []string{dir, filepath.Join(dir, "none", "registry.db")} {
		if _, err := sqlite.Open(path); err == nil || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: error %v", path, err)
		}
	}
	t.Chdir(dir)
	for _, name := range []string{":memory:", "file:x?mode=memory", "a b+c%20&d=e#f?.db", "Ænes.db"} {
		s := open(t, name)
		writeStory(t, s)
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Errorf("%q was not taken for a file's name: %v", name, err)
		}
	}
}

func TestPrivate(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("files have no such mode")
	}
	path := filepath.Join(t.TempDir(), "registry.db")
	s := open(t, path)
	writeStory(t, s)
	for _, file := range []string{path, path + "-wal"} {
		info, err := os.Stat(file)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm() != 0o600 {
			t.Errorf("%s has mode %v", filepath.Base(file), info.Mode())
		}
	}
}

func TestReopen(t *testing.T) {
	path := registry(t)
	for range 3 {
		s := open(t, path)
		checkStory(t, s)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if rest, _ := filepath.Glob(path + "-*"); len(rest) > 0 {
			t.Errorf("closed, it left %q", rest)
		}
	}
}

// TestOpenTogether makes one new registry from many sides at once.
func TestOpenTogether(t *testing.T) {
	for range 20 {
		path := filepath.Join(t.TempDir(), "registry.db")
		var all sync.WaitGroup
		for i := range 6 {
			all.Go(func() {
				s, err := sqlite.Open(path)
				if err != nil {
					t.Error(err)
					return
				}
				defer s.Close()
				err = s.Write(t.Context(), func(tx store.Tx) error {
					_, err := tx.Create(t.Context(), numbered(i))
					return err
				})
				if err != nil {
					t.Error(err)
				}
			})
		}
		all.Wait()
		s := open(t, path)
		if n, err := s.Count(t.Context(), store.Lots, "shops/bench"); n != 6 || err != nil {
			t.Errorf("%d of 6 records are there, error %v", n, err)
		}
		s.Close()
	}
}

// TestOpenWaits opens a registry that has no log yet while another program writes
// to it: the log is begun when that is done.
func TestOpenWaits(t *testing.T) {
	path := registry(t)
	raw(t, path, `PRAGMA journal_mode = DELETE`)
	db, err := sqlite3.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.Exec(`BEGIN IMMEDIATE`); err != nil {
		t.Fatal(err)
	}
	undo := sqlite.Patience(5 * time.Millisecond)
	_, err = sqlite.Open(path)
	undo()
	if !errors.Is(err, sqlite3.BUSY) {
		t.Errorf("while it is written to: error %v", err)
	}
	opened := make(chan error)
	go func() {
		s, err := sqlite.Open(path)
		if err == nil {
			err = s.Close()
		}
		opened <- err
	}()
	time.Sleep(20 * time.Millisecond) // it will have to wait
	if err := db.Exec(`ROLLBACK`); err != nil {
		t.Error(err)
	}
	if err := <-opened; err != nil {
		t.Errorf("when that is done: %v", err)
	}
}

var keep = flag.Bool("keep", false, "write a registry of this schema version to testdata/store")

// versionFile is a registry written by a program of a schema version.
func versionFile(version int) string {
	return fmt.Sprintf("../../../testdata/store/v%d.db.gz", version)
}

// TestEveryVersion opens a registry of every schema version there has been.
// After a new migration: go test ./server/store/sqlite -run EveryVersion -keep
func TestEveryVersion(t *testing.T) {
	if *keep {
		writeFile(t, versionFile(sqlite.SchemaVersion), zip(t, registry(t)))
	}
	for version := 1; version <= sqlite.SchemaVersion; version++ {
		path := filepath.Join(t.TempDir(), "registry.db")
		writeFile(t, path, unzip(t, versionFile(version)))
		s := open(t, path)
		checkStory(t, s)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// writeStory writes one of everything that a registry holds.
func writeStory(t *testing.T, s store.Store) {
	t.Helper()
	ctx := t.Context()
	err := s.Write(ctx, func(tx store.Tx) error {
		for _, r := range []store.Record{
			{Name: "a", Collection: store.Lots, Parent: "shops/s", Key: "17", Open: true, Body: []byte("platen")},
			{Name: "b", Collection: store.Lots, Parent: "shops/s", Key: "18", Body: []byte("stone")},
			{Name: "shops/s", Collection: store.Shops},
		} {
			if _, err := tx.Create(ctx, r); err != nil {
				return err
			}
		}
		if _, err := tx.Update(ctx, store.Record{Name: "b", Key: "19", Body: []byte("imposing stone")}); err != nil {
			return err
		}
		if _, err := tx.Delete(ctx, "shops/s"); err != nil {
			return err
		}
		if err := tx.MoveCursor(ctx, "index", 4); err != nil {
			return err
		}
		return tx.Remember(ctx, store.Answer{ID: "q", Fingerprint: []byte{1}, Body: []byte("lot"), Change: 1})
	})
	if err != nil {
		t.Fatal(err)
	}
}

// checkStory fails the test unless a registry holds exactly that.
func checkStory(t *testing.T, s store.Store) {
	t.Helper()
	ctx := t.Context()
	if err := storetest.Check(ctx, s); err != nil {
		t.Error(err)
	}
	a, errA := s.Find(ctx, store.Lots, "shops/s", "17")
	b, errB := s.Find(ctx, store.Lots, "shops/s", "19")
	changes, errC := s.Changes(ctx, 0, 0)
	cursor, errD := s.Cursor(ctx, "index")
	answer, errE := s.Recall(ctx, "q")
	if err := errors.Join(errA, errB, errC, errD, errE); err != nil {
		t.Fatal(err)
	}
	got := fmt.Sprintf("%+v\n%+v\n%d changes\ncursor %d\n%+v", a, b, len(changes), cursor, answer)
	want := fmt.Sprintf("%+v\n%+v\n%d changes\ncursor %d\n%+v",
		store.Record{Name: "a", Collection: store.Lots, Parent: "shops/s", Key: "17", Open: true, Body: []byte("platen"), Created: 1, Revision: 1},
		store.Record{Name: "b", Collection: store.Lots, Parent: "shops/s", Key: "19", Body: []byte("imposing stone"), Created: 2, Revision: 4},
		5, 4, store.Answer{ID: "q", Fingerprint: []byte{1}, Body: []byte("lot"), Change: 1})
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func zip(t *testing.T, path string) []byte {
	t.Helper()
	var zipped bytes.Buffer
	w, _ := gzip.NewWriterLevel(&zipped, gzip.BestCompression)
	if _, err := w.Write(readFile(t, path)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return zipped.Bytes()
}

func unzip(t *testing.T, path string) []byte {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	content, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return content
}

func readFile(t *testing.T, path string) []byte {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return content
}

func writeFile(t *testing.T, path string, content []byte) {
	t.Helper()
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	writeFile(t, to, readFile(t, from))
}
