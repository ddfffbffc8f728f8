package sqlite_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"heirpress/server/store"
	"heirpress/server/store/sqlite"
	"heirpress/server/store/storetest"
)

// crashEnv names the registry that this process, started by TestCrash, is to
// write to until it is killed.
const crashEnv = "HEIRPRESS_TEST_WRITE_TO"

func TestMain(m *testing.M) {
	if path := os.Getenv(crashEnv); path != "" {
		writeForever(path)
	}
	os.Exit(m.Run())
}

// writeForever writes and says so, a line for each write acknowledged.
func writeForever(path string) {
	s, err := sqlite.Open(path)
	for err == nil {
		fmt.Println("opened or written")
		err = writeNext(context.Background(), s)
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// TestCrash kills a process that writes, again and again, at no moment of its
// choosing. All that it said it had written must be there, and each transaction
// wholly or not at all.
func TestCrash(t *testing.T) {
	path := filepath.Join(t.TempDir(), "registry.db")
	written := 0
	for range 20 {
		written += writeUntilKilled(t, path, 1+rand.IntN(60))
		s := open(t, path)
		if err := checkWritten(t.Context(), s, written); err != nil {
			t.Fatal(err)
		}
		last, err := lastWritten(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		written = last // one may have been written that it had no time to tell of
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d transactions, killed 20 times", written)
}

// writeUntilKilled starts a writer, kills it once it has told of a number of
// writes, and returns how many it told of in all.
func writeUntilKilled(t *testing.T, path string, enough int) int {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), crashEnv+"="+path)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	told := 0
	for lines := bufio.NewScanner(out); lines.Scan(); told++ {
		if told == enough {
			if err := cmd.Process.Kill(); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := cmd.Wait(); told <= enough {
		t.Fatalf("the writer ended by itself: %v", err)
	}
	return told - 1 // the first line says that it has opened
}

// writeNext does one transaction: three lots created, one of an earlier
// transaction deleted, one updated, a cursor moved, an answer remembered.
func writeNext(ctx context.Context, s store.Store) error {
	return s.Write(ctx, func(tx store.Tx) error {
		last, err := lastWritten(ctx, tx)
		if err != nil {
			return err
		}
		next := last + 1
		for part := range 3 {
			r := store.Record{Name: partName(next, part), Collection: store.Lots, Parent: "shops/s", Key: partName(next, part), Body: make([]byte, rand.IntN(3000))}
			if _, err := tx.Create(ctx, r); err != nil {
				return err
			}
		}
		if last > 0 {
			if _, err := tx.Delete(ctx, partName(last, 1)); err != nil {
				return err
			}
			if _, err := tx.Update(ctx, store.Record{Name: partName(last, 2), Open: true}); err != nil {
				return err
			}
		}
		if err := tx.Remember(ctx, store.Answer{ID: fmt.Sprint(next)}); err != nil {
			return err
		}
		return tx.MoveCursor(ctx, "written", uint64(next))
	})
}

func partName(transaction, part int) string { return fmt.Sprintf("lot %d.%d", transaction, part) }

// lastWritten is how many transactions have been done. A cursor tells: there are
// more changes than that.
func lastWritten(ctx context.Context, s store.Reader) (int, error) {
	n, err := s.Cursor(ctx, "written")
	return int(n), err
}

// checkWritten checks that a registry has at least so many transactions, each
// with all its parts.
func checkWritten(ctx context.Context, s store.Reader, acknowledged int) error {
	if err := storetest.Check(ctx, s); err != nil {
		return err
	}
	last, err := lastWritten(ctx, s)
	if err != nil {
		return err
	}
	if last < acknowledged {
		return fmt.Errorf("%d transactions are there, %d were acknowledged", last, acknowledged)
	}
	head, err := s.Head(ctx)
	if err != nil {
		return err
	}
	if want := uint64(max(0, 5*last-2)); head != want {
		return fmt.Errorf("%d transactions made %d changes, want %d", last, head, want)
	}
	for i := 1; i <= last; i++ {
		if err := checkParts(ctx, s, i, i == last); err != nil {
			return fmt.Errorf("transaction %d: %w", i, err)
		}
	}
	_, err = s.Recall(ctx, fmt.Sprint(last+1))
	if !errors.Is(err, store.ErrNotFound) {
		return fmt.Errorf("an answer of the next transaction is there: error %v", err)
	}
	return nil
}

func checkParts(ctx context.Context, s store.Reader, transaction int, isLast bool) error {
	for part := range 3 {
		r, err := s.Get(ctx, partName(transaction, part))
		deleted := part == 1 && !isLast
		if deleted != errors.Is(err, store.ErrNotFound) || err != nil && !deleted {
			return fmt.Errorf("part %d: error %w", part, err)
		}
		if updated := part == 2 && !isLast; r.Open != updated {
			return fmt.Errorf("part %d: open is %v", part, r.Open)
		}
	}
	_, err := s.Recall(ctx, fmt.Sprint(transaction))
	return err
}
