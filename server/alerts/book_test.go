package alerts_test

import (
	"context"
	"fmt"
	"log/slog"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/alerts"
	"heirpress/server/store/memory"
)

// catchUpWith runs a matcher that keeps a book until it has followed everything.
// It returns what was logged.
func (w *world) catchUpWith(t tester, book string) string {
	ctx, cancel := context.WithCancel(context.Background())
	var log strings.Builder
	m := alerts.New(w.store, w, slog.New(slog.NewTextHandler(&log, nil)))
	m.KeepBook(book)
	ended := make(chan struct{})
	go func() {
		m.Run(ctx)
		close(ended)
	}()
	head, err := w.store.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	waiting, stop := context.WithTimeout(ctx, 20*time.Second)
	if err := m.WaitFor(waiting, head); err != nil {
		t.Fatal("the matcher did not catch up: ", err)
	}
	stop()
	cancel()
	<-ended
	return log.String()
}

// A matcher that starts from its book makes exactly the alerts that are due,
// whatever has become of the book: cut off, damaged, lost, or left behind.
func TestABookIsAsGoodAsTheStore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp("", "book")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		w, book := newWorld(), filepath.Join(dir, "wants")
		for range rapid.IntRange(1, 15).Draw(t, "acts") {
			w.act(t)
			switch rapid.IntRange(0, 9).Draw(t, "follow") {
			case 0:
				w.catchUp(t) // by somebody else: the book is left behind
			default:
				w.catchUpWith(t, book)
			}
			spoil(t, book)
		}
		w.catchUpWith(t, book)
		if made := w.made(t); !maps.Equal(made, w.due) {
			t.Fatalf("made %v\ndue  %v", sorted(made), sorted(w.due))
		}
	})
}

// A book that is cut off anywhere, also among the lists that it was begun with,
// loses none of them.
func TestABookThatIsCutOff(t *testing.T) {
	w, book := newWorld(), filepath.Join(t.TempDir(), "wants")
	for n := range 3 {
		w.putList(t, seekerAt(t, n, "Dayton, OH"))
	}
	w.catchUp(t)
	w.catchUpWith(t, book)
	w.putList(t, seekerAt(t, 3, "Dayton, OH"))
	w.catchUpWith(t, book)
	whole, err := os.ReadFile(book)
	if err != nil {
		t.Fatal(err)
	}
	for at := range whole {
		if err := os.WriteFile(book, whole[:at], 0o600); err != nil {
			t.Fatal(err)
		}
		w.putLot(t, pressIn(t, fmt.Sprint("p", at), "Dayton, OH"))
		w.catchUpWith(t, book)
	}
	if made := w.made(t); !maps.Equal(made, w.due) || len(made) != 4*2*len(whole) {
		t.Errorf("%d alerts and not %d; missing %v", len(made), len(w.due), without(w.due, made))
	}
}

func spoil(t *rapid.T, book string) {
	written, err := os.ReadFile(book)
	if err != nil || len(written) == 0 {
		return
	}
	at := rapid.IntRange(0, len(written)-1).Draw(t, "at")
	switch rapid.IntRange(0, 9).Draw(t, "spoil") {
	case 0:
		written = written[:at]
	case 1:
		written[at] ^= 1 << (at % 8)
	case 2:
		err = os.Remove(book)
		written = nil
	default:
		return
	}
	if written != nil {
		err = os.WriteFile(book, written, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// The book of another store, or of one that has been put back to an earlier day,
// is not gone by.
func TestABookOfAnotherStoreIsNotGoneBy(t *testing.T) {
	w, book := newWorld(), filepath.Join(t.TempDir(), "wants")
	w.putList(t, seekerAt(t, 1, "Dayton, OH"))
	w.catchUpWith(t, book)
	w.store = memory.New()
	w.lists, w.lots = map[string]*pb.WantedList{}, map[string]*pb.Lot{}
	w.putLot(t, pressIn(t, "p1", "Dayton, OH"))
	w.catchUp(t)
	log := w.catchUpWith(t, book)
	if !strings.Contains(log, "written anew") {
		t.Errorf("logged %q", log)
	}
	w.putLot(t, pressIn(t, "p2", "Dayton, OH"))
	w.catchUpWith(t, book)
	if made := w.made(t); len(made) != 0 {
		t.Errorf("alerts for a list that is not in this store: %v", sorted(made))
	}
}

// A book that cannot be written costs time at the next start, and no alert.
func TestAnUnwritableBookLosesNothing(t *testing.T) {
	w := newWorld()
	w.putList(t, seekerAt(t, 1, "Dayton, OH"))
	w.putLot(t, pressIn(t, "p1", "Dayton, OH"))
	log := w.catchUpWith(t, filepath.Join(t.TempDir(), "no folder", "wants"))
	if !strings.Contains(log, "cannot be written") {
		t.Errorf("logged %q", log)
	}
	if made := w.made(t); !maps.Equal(made, w.due) || len(made) != 2 {
		t.Errorf("made %v\ndue  %v", sorted(made), sorted(w.due))
	}
}

// A list that is changed again and again does not make the book grow for ever.
func TestABookIsCondensed(t *testing.T) {
	w, book := newWorld(), filepath.Join(t.TempDir(), "wants")
	list := seekerAt(t, 1, "Dayton, OH")
	for len(list.GetWants()) < 150 {
		list.Wants = append(list.Wants, &pb.Want{Id: fmt.Sprint("w", len(list.GetWants())), Title: "x", Filter: &pb.LotFilter{Words: strings.Repeat("corwen halvorsen ", 20)}})
	}
	w.putList(t, list)
	w.catchUpWith(t, book)
	for n := range 200 {
		list.Wants[0].Filter.Words = fmt.Sprint("platen ", n)
		w.putList(t, list)
	}
	w.catchUpWith(t, book)
	full := size(t, book)
	w.catchUpWith(t, book)
	if now := size(t, book); full < 1<<20 || now > full/20 {
		t.Errorf("the book took %d bytes, and after another start %d", full, now)
	}
	list.Wants[0].Filter.Words = "platen"
	w.putList(t, list)
	w.putLot(t, pressIn(t, "p1", "Dayton, OH"))
	w.catchUpWith(t, book)
	if made := w.made(t); !maps.Equal(made, w.due) {
		t.Errorf("made %v\ndue  %v", sorted(made), sorted(w.due))
	}
}

func size(t *testing.T, path string) int64 {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	return info.Size()
}
