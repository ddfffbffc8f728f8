//go:build unix

package transfer_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"heirpress/server/store"
	"heirpress/server/store/memory"
	"heirpress/server/store/postgres"
	"heirpress/server/store/postgres/pgtest"
	"heirpress/server/store/sqlite"
	"heirpress/server/store/storetest"
	"heirpress/server/store/transfer"
)

func TestMain(m *testing.M) { pgtest.Main(m) }

// fill makes a registry of many pages, with every kind of change in it.
func fill(t *testing.T, s store.Movable) {
	t.Helper()
	ctx := t.Context()
	for n := range 40 {
		err := s.Write(ctx, func(tx store.Tx) error {
			for i := range 30 {
				name := fmt.Sprint(n, "-", i)
				r := store.Record{Name: name, Collection: store.Lots, Parent: fmt.Sprint(n), Key: fmt.Sprint(i), Body: []byte{0, byte(i), 0xff}}
				if _, err := tx.Create(ctx, r); err != nil {
					return err
				}
				if r.Open, r.Body = true, nil; i%3 == 0 {
					if _, err := tx.Update(ctx, r); err != nil {
						return err
					}
				}
				if i%5 == 0 {
					if _, err := tx.Delete(ctx, name); err != nil {
						return err
					}
				}
				if err := tx.Remember(ctx, store.Answer{ID: name, Fingerprint: []byte{1}, Body: []byte("a"), Change: uint64(i)}); err != nil {
					return err
				}
			}
			return tx.MoveCursor(ctx, fmt.Sprint("follower ", n%3), uint64(n))
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

func export(t *testing.T, s store.Movable) string {
	t.Helper()
	var out bytes.Buffer
	if _, err := transfer.Export(t.Context(), s, &out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func openSQLite(t *testing.T) store.Movable {
	s, err := sqlite.Open(filepath.Join(t.TempDir(), "registry.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func openPostgres(t *testing.T) store.Movable {
	s, err := postgres.Open(context.Background(), pgtest.Shared(t).Schema())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// TestThereAndBack carries a registry from SQLite to PostgreSQL and back: every
// export is the same, byte for byte.
func TestThereAndBack(t *testing.T) {
	from := openSQLite(t)
	fill(t, from)
	file := export(t, from)
	for _, to := range []store.Movable{openPostgres(t), openSQLite(t)} {
		taken, err := transfer.Import(t.Context(), strings.NewReader(file), to)
		if err != nil || taken.Had != 0 || taken.New == 0 {
			t.Fatalf("%+v, %v", taken, err)
		}
		if export(t, to) != file {
			t.Error("what was imported exports otherwise")
		}
		if err := storetest.Check(t.Context(), to); err != nil {
			t.Error(err)
		}
		again, err := transfer.Import(t.Context(), strings.NewReader(file), to)
		if err != nil || again.New != 0 || again.Had != taken.New {
			t.Errorf("once more: %+v, %v", again, err)
		}
	}
}

// TestCutOff imports a file that ends early, wherever that is, and then the whole.
func TestCutOff(t *testing.T) {
	from := memory.New()
	fill(t, from)
	file := export(t, from)
	for part := range 12 {
		to := memory.New()
		_, err := transfer.Import(t.Context(), strings.NewReader(file[:len(file)*part/12]), to)
		var bad *transfer.LineError
		if !errors.As(err, &bad) {
			t.Fatalf("a twelfth times %d: error %v", part, err)
		}
		if _, err := transfer.Import(t.Context(), strings.NewReader(file), to); err != nil {
			t.Fatal(err)
		}
		if export(t, to) != file {
			t.Error("taken up again, it is not the same")
		}
	}
}

// TestWhileWritten exports a registry that is written to.
func TestWhileWritten(t *testing.T) {
	from := openSQLite(t)
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for n := uint64(1); ctx.Err() == nil; n++ {
			_ = from.Write(ctx, func(tx store.Tx) error {
				id := fmt.Sprint(n)
				if _, err := tx.Create(ctx, store.Record{Name: id, Collection: store.Lots}); err != nil {
					return err
				}
				if err := tx.Remember(ctx, store.Answer{ID: id, Change: n}); err != nil {
					return err
				}
				return tx.MoveCursor(ctx, "a", n)
			})
		}
	}()
	for range 5 {
		to := memory.New()
		if _, err := transfer.Import(t.Context(), strings.NewReader(export(t, from)), to); err != nil {
			t.Error(err)
		}
	}
	stop()
	<-ended
}

func TestRefused(t *testing.T) {
	one := func(do func(store.Tx) error) string {
		s := memory.New()
		if err := s.Write(t.Context(), do); err != nil {
			t.Fatal(err)
		}
		return export(t, s)
	}
	lot := func(names ...string) string {
		return one(func(tx store.Tx) error {
			for _, name := range names {
				if _, err := tx.Create(t.Context(), store.Record{Name: name, Collection: store.Lots}); err != nil {
					return err
				}
			}
			return nil
		})
	}
	good := lot("a")
	for _, c := range []struct{ name, has, file, says string }{
		{"no file", "", "", "line 1: the file ends here"},
		{"another's", "", `{"rows":[]}`, "line 1: it cannot be read"},
		{"no text", "", "PK\x03\x04", "line 1: it cannot be read"},
		{"newer", "", `{"registry":2}`, "line 1: it does not say"},
		{"not whole", "", strings.TrimSuffix(good, "{\"end\":true}\n"), "line 3: the file ends here"},
		{"an empty line", "", `{"registry":1}{}`, "line 2: it is neither"},
		{"no record", "", `{"registry":1}{"op":"create","change":1}`, "line 2: it tells of change 1 without"},
		{"an op", "", strings.Replace(good, "create", "invent", 1), `line 2: its op is "invent"`},
		{"a gap", "", strings.Replace(good, `"create","change":1`, `"create","change":2`, 1), "the journal goes on with 1"},
		{"another registry", lot("b"), good, "line 2: the registry here has another change 1"},
		{"one that has gone on", lot("a", "b"), good, "line 1: the file has 1 changes, and the registry here has 2"},
		{"a cursor too far", "", strings.Replace(good, `{"end"`, `{"cursor":"a","change":9}{"end"`, 1), "line 3"},
	} {
		to := memory.New()
		if c.has != "" {
			if _, err := transfer.Import(t.Context(), strings.NewReader(c.has), to); err != nil {
				t.Fatal(err)
			}
		}
		_, err := transfer.Import(t.Context(), strings.NewReader(c.file), to)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.says)
		}
	}
}
