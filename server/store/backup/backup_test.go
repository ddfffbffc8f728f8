//go:build unix

package backup_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heirpress/server/store"
	"heirpress/server/store/backup"
	"heirpress/server/store/memory"
	"heirpress/server/store/postgres"
	"heirpress/server/store/postgres/pgtest"
	"heirpress/server/store/sqlite"
	"heirpress/server/store/storetest"
)

func TestMain(m *testing.M) { pgtest.Main(m) }

// engines open an empty store each.
var engines = map[string]func(*testing.T) store.Movable{
	"SQLite": func(t *testing.T) store.Movable {
		s, err := sqlite.Open(filepath.Join(t.TempDir(), "registry.db"))
		return opened(t, s, err)
	},
	"PostgreSQL": func(t *testing.T) store.Movable {
		s, err := postgres.Open(context.Background(), pgtest.Shared(t).Schema())
		return opened(t, s, err)
	},
}

func opened(t *testing.T, s store.Movable, err error) store.Movable {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// step writes something of every kind.
func step(ctx context.Context, s store.Store, n uint64) error {
	return s.Write(ctx, func(tx store.Tx) error {
		name := fmt.Sprint("lots/", n)
		r := store.Record{Name: name, Collection: store.Lots, Parent: "shops/s", Key: name, Body: []byte{0, byte(n), 0xff}}
		if _, err := tx.Create(ctx, r); err != nil {
			return err
		}
		if r.Open = true; n%3 == 0 {
			if _, err := tx.Update(ctx, r); err != nil {
				return err
			}
		}
		if n%5 == 0 {
			if _, err := tx.Delete(ctx, name); err != nil {
				return err
			}
		}
		head, err := tx.Head(ctx)
		if err != nil {
			return err
		}
		if err := tx.Remember(ctx, store.Answer{ID: name, Body: []byte("a"), Change: head}); err != nil {
			return err
		}
		return tx.MoveCursor(ctx, "follower", head)
	})
}

func filled(t *testing.T, s store.Movable, steps uint64) store.Movable {
	t.Helper()
	for n := range steps {
		if err := step(t.Context(), s, n+1); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func writeAll(t *testing.T, s store.Movable) []byte {
	t.Helper()
	var out bytes.Buffer
	if _, err := backup.Write(t.Context(), s, &out, time.Now()); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestFromAndInto restores a backup of each engine into each.
func TestFromAndInto(t *testing.T) {
	for from, openFrom := range engines {
		for into, openInto := range engines {
			t.Run(from+" into "+into, func(t *testing.T) {
				live, file := filled(t, openFrom(t), 60), filepath.Join(t.TempDir(), "b")
				saved, err := backup.Save(t.Context(), live, file)
				if err != nil {
					t.Fatal(err)
				}
				restored := openInto(t)
				info, err := backup.Restore(t.Context(), openFile(t, file), restored)
				if err != nil || info != saved {
					t.Fatalf("%+v, %v; saved was %+v", info, err, saved)
				}
				if err := storetest.Check(t.Context(), restored); err != nil {
					t.Error(err)
				}
				if err := backup.Faithful(t.Context(), live, restored, info); err != nil {
					t.Error(err)
				}
				if again, err := backup.Restore(t.Context(), openFile(t, file), restored); err != nil || again != info {
					t.Errorf("once more: %+v, %v", again, err)
				}
			})
		}
	}
}

func openFile(t *testing.T, path string) *os.File {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// TestOnline saves a registry again and again while it is written to. Each backup
// is of one moment: the cursor is at the last change, as every write leaves it.
func TestOnline(t *testing.T) {
	for name, open := range engines {
		t.Run(name, func(t *testing.T) {
			live := filled(t, open(t), 20)
			ctx, stop := context.WithCancel(t.Context())
			ended := make(chan error, 1)
			go func() {
				for n := uint64(21); ctx.Err() == nil; n++ {
					if err := step(context.Background(), live, n); err != nil {
						ended <- err
						return
					}
				}
				ended <- nil
			}()
			for i := range 4 {
				file := filepath.Join(t.TempDir(), fmt.Sprint(i))
				if _, err := backup.Save(t.Context(), live, file); err != nil {
					t.Fatal(err)
				}
				oneMoment(t, file)
			}
			stop()
			if err := <-ended; err != nil {
				t.Error(err)
			}
		})
	}
}

func oneMoment(t *testing.T, file string) {
	t.Helper()
	restored := memory.New()
	info, err := backup.Restore(t.Context(), openFile(t, file), restored)
	if err != nil {
		t.Fatal(err)
	}
	cursor, err := restored.Cursor(t.Context(), "follower")
	if err != nil || cursor != info.Changes {
		t.Errorf("the cursor is at %d and the journal at %d (%v): that was never so at one moment", cursor, info.Changes, err)
	}
	if err := storetest.Check(t.Context(), restored); err != nil {
		t.Error(err)
	}
}

// TestDamage cuts a backup off, flips a bit of it and adds to it, wherever that
// is: it is refused, and nothing is written.
func TestDamage(t *testing.T) {
	whole := writeAll(t, filled(t, memory.New(), 40))
	rapid.Check(t, func(r *rapid.T) {
		bad := bytes.Clone(whole)
		at := rapid.IntRange(0, len(bad)-1).Draw(r, "at")
		switch rapid.IntRange(0, 2).Draw(r, "what") {
		case 0:
			bad = bad[:at]
		case 1:
			// Bytes 3 to 9 of gzip's head say when and where it was packed, and do
			// not bear on what is in it; RFC 1952, section 2.3.
			at = max(at, 10)
			bad[at] ^= 1 << rapid.IntRange(0, 7).Draw(r, "bit")
		case 2:
			bad = append(bad, bad[:at+1]...)
		}
		into := memory.New()
		_, err := backup.Restore(t.Context(), bytes.NewReader(bad), into)
		var damaged *backup.DamagedError
		if !errors.As(err, &damaged) {
			r.Fatalf("error %v, want a *DamagedError", err)
		}
		if head, err := into.Head(t.Context()); head != 0 || err != nil {
			r.Fatalf("%d changes were written (%v)", head, err)
		}
	})
}

func zipped(text string) string {
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	io.WriteString(w, text)
	w.Close()
	return out.String()
}

func TestRefused(t *testing.T) {
	for _, c := range []struct{ name, file, says string }{
		{"nothing", "", "this is no whole backup: it is cut off; use another (nothing was changed)"},
		{"another's", "tag,title\n1,Platen\n", "it is a file of another kind"},
		{"packed, but another's", zipped("tag,title\n"), `it does not begin with "backup"`},
		{"newer", zipped(`{"backup":2,"made":"2027-02-28T09:30:00Z"}` + "\n"), "the backup has form 2, and this program knows only up to 1"},
		{"without its sum", zipped(`{"backup":1,"made":"2027-02-28T09:30:00Z"}` + "\n" + `{"registry":1}` + "\n" + `{"end":true}` + "\n"), "it is cut off"},
		{"with another sum", zipped(`{"backup":1,"made":"2027-02-28T09:30:00Z"}` + "\n" + `{"registry":1}` + "\n" + `{"sha256":"00"}` + "\n"), "its checksum does not fit"},
	} {
		_, err := backup.Check(strings.NewReader(c.file))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.says)
		}
	}
}

// TestComeApart has the records of a registry say something else than its
// journal: that is found when a backup is made, which then gets no name.
func TestComeApart(t *testing.T) {
	path := filepath.Join(t.TempDir(), "registry.db")
	for says, sql := range map[string]string{
		"lots/4 is not as its journal tells":                    `UPDATE record SET body = x'00' WHERE name = 'lots/4'`,
		"lots/4 is not there, and its journal tells of it":      `DELETE FROM record WHERE name = 'lots/4'`,
		"lots/99 is there, and its journal does not tell of it": `INSERT INTO record SELECT 9999, 5, 'lots/99', collection, parent, 'lots/99', open, body FROM record WHERE name = 'lots/1'`,
	} {
		s, err := sqlite.Open(path)
		live := filled(t, opened(t, s, err), 9)
		spoil(t, path, sql)
		dir := t.TempDir()
		_, err = backup.Save(t.Context(), live, filepath.Join(dir, "b"))
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("error %v, want one that says %q", err, says)
		}
		if left, _ := os.ReadDir(dir); len(left) > 0 {
			t.Errorf("%v was left behind", left)
		}
		live.Close()
		path = filepath.Join(t.TempDir(), "registry.db")
	}
}

func TestRestoreFile(t *testing.T) {
	whole := filepath.Join(t.TempDir(), "b")
	if _, err := backup.Save(t.Context(), filled(t, memory.New(), 9), whole); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "registry.db")
	for _, left := range []string{".restoring", ".restoring-wal"} { // by one that was cut off
		if err := os.WriteFile(path+left, []byte("half"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := backup.RestoreFile(t.Context(), openFile(t, whole), path); err != nil {
		t.Fatal(err)
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("in the folder there is %v, want the registry alone", entries)
	}
	_, err := backup.RestoreFile(t.Context(), openFile(t, whole), path)
	if err == nil || !strings.Contains(err.Error(), "registry.db is there already") {
		t.Errorf("over a registry: error %v", err)
	}
}
