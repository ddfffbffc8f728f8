package alerts_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/alerts"
	"heirpress/server/internal/deadly"
	"heirpress/server/record"
	"heirpress/server/store"
	"heirpress/server/store/sqlite"
)

// kills is how often TestCrash kills the matcher.
var kills = flag.Int("kills", 20, "how often the crash test kills the matcher")

// crashEnv tells a process that TestCrash started what to do: the folder, the
// seed, the point at which it is to die, and how many times it may pass it.
const crashEnv = "HEIRPRESS_TEST_DIE_AT"

// pointAny is to be killed at no point of one's choosing.
const pointAny = "any"

// points are all those between a change and its alert at which the matcher is
// killed: the journal was read, a lot or a list was read to be matched, a row was
// written, the cursor was moved, and all of it was committed, but the book of
// wants not written.
var points = []string{
	deadly.Journal, deadly.History, deadly.Create(store.Alerts), deadly.Create(store.Notices), deadly.Move(alerts.Cursor),
	deadly.Commit(deadly.Move(alerts.Cursor)), pointAny,
}

func TestMain(m *testing.M) {
	if job := os.Getenv(crashEnv); job != "" {
		fmt.Fprintln(os.Stderr, liveUntilKilled(strings.Split(job, "|")))
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// TestCrash kills a process that writes and matches, at every point there is,
// again and again. In the end every alert that is due has been made, and once.
func TestCrash(t *testing.T) {
	dir, seed := t.TempDir(), uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 1))
	for n := range *kills {
		point := points[n%len(points)]
		dieAt(t, dir, seed+uint64(n), point, 1+random.IntN(12), time.Duration(random.IntN(200))*time.Millisecond)
	}
	w := newWorld()
	w.store = openIn(t, dir)
	w.catchUpWith(t, filepath.Join(dir, "wants"))
	due := dueBy(t, w.store)
	if made := w.made(t); !maps.Equal(made, due) {
		t.Errorf("made and not due %v\ndue and not made %v", without(made, due), without(due, made))
	}
	noticedOnce(t, w)
	t.Logf("%d kills, %d alerts", *kills, len(due))
}

func without(all, less map[string]bool) []string {
	return slices.DeleteFunc(sorted(all), func(key string) bool { return less[key] })
}

// dieAt runs a process until it kills itself at a point, or, if it is to die at
// none, until it is killed.
func dieAt(t *testing.T, dir string, seed uint64, point string, pass int, after time.Duration) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), crashEnv+"="+strings.Join([]string{dir, strconv.FormatUint(seed, 10), point, strconv.Itoa(pass)}, "|"))
	var said strings.Builder
	cmd.Stderr = &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	limit := time.Minute
	if point == pointAny {
		limit = 300*time.Millisecond + after
	}
	killed := time.AfterFunc(limit, func() { cmd.Process.Kill() })
	err := cmd.Wait()
	if stopped := killed.Stop(); stopped == (point == pointAny) {
		t.Fatalf("at %s: stopped %t, %v\n%s", point, stopped, err, said.String())
	}
	if exit := new(exec.ExitError); !errors.As(err, &exit) || exit.ExitCode() != -1 {
		t.Fatalf("at %s: %v\n%s", point, err, said.String())
	}
}

func openIn(t tester, dir string) store.Store {
	s, err := sqlite.Open(filepath.Join(dir, "registry.db"))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// liveUntilKilled writes lots and lists, and matches them, until it dies.
func liveUntilKilled(job []string) error {
	seed, err := strconv.ParseUint(job[1], 10, 64)
	if err != nil {
		return err
	}
	pass, err := strconv.Atoi(job[3])
	if err != nil {
		return err
	}
	s, err := sqlite.Open(filepath.Join(job[0], "registry.db"))
	if err != nil {
		return err
	}
	d := deadly.New(s, job[2], pass)
	m := alerts.New(d, &world{store: d}, slog.New(slog.NewTextHandler(os.Stderr, nil)))
	m.KeepBook(filepath.Join(job[0], "wants"))
	go m.Run(context.Background())
	w := &writer{Rand: rand.New(rand.NewPCG(seed, 2)), store: s, run: seed}
	for {
		for range 1 + w.IntN(6) {
			if err := w.write(context.Background()); err != nil {
				return err
			}
		}
		if err := catchUp(s, m); err != nil {
			return err
		}
	}
}

// catchUp waits until a matcher has come to the end of the journal.
func catchUp(s store.Store, m *alerts.Matcher) error {
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	head, err := s.Head(ctx)
	if err != nil {
		return err
	}
	return m.WaitFor(ctx, head)
}

// writer posts lots and lodges and drops lists. A lot is only ever made cheaper,
// so that it never ceases to meet a want, and what is due does not hang on when
// the matcher comes to it.
type writer struct {
	*rand.Rand
	store store.Store
	run   uint64
	count int
	lots  []*pb.Lot
	lists []string
}

func (w *writer) write(ctx context.Context) error {
	w.count++
	id := fmt.Sprint(w.run, "-", w.count)
	switch n := w.IntN(10); {
	case n < 5 || len(w.lots) == 0:
		lot := &pb.Lot{
			Name: "shops/a/lots/" + id, Tag: id, Title: titles[w.IntN(len(titles))], Kind: kinds[w.IntN(len(kinds))],
			State: pb.LotState_LOT_STATE_OFFERED, Price: usd(w.Int64N(6)),
		}
		w.lots = append(w.lots, lot)
		return w.put(ctx, lot, store.Record{Name: lot.GetName(), Collection: store.Lots, Parent: "shops/a"})
	case n < 7:
		lot := w.lots[w.IntN(len(w.lots))]
		lot.Price.Units = max(0, lot.GetPrice().GetUnits()-1)
		return w.put(ctx, lot, store.Record{Name: lot.GetName()})
	case n < 9 || len(w.lists) == 0:
		list := &pb.WantedList{Name: "wantedLists/" + id, Title: id, Wants: []*pb.Want{w.want("a"), w.want("b")}}
		w.lists = append(w.lists, list.GetName())
		return w.put(ctx, list, store.Record{Name: list.GetName(), Collection: store.WantedLists})
	}
	last := w.lists[len(w.lists)-1]
	w.lists = w.lists[:len(w.lists)-1]
	return w.store.Write(ctx, func(tx store.Tx) error {
		_, err := tx.Delete(ctx, last)
		return err
	})
}

func (w *writer) want(id string) *pb.Want {
	f := &pb.LotFilter{Words: []string{"", "platen", "gothic", "parts"}[w.IntN(4)], MaxPrice: usd(w.Int64N(3))}
	if w.IntN(2) == 0 {
		f.Kinds = []pb.Kind{kinds[w.IntN(len(kinds))]}
	}
	return &pb.Want{Id: id, Title: "a want", Filter: f}
}

// put creates a record that says its collection, and updates one that does not.
func (w *writer) put(ctx context.Context, m proto.Message, r store.Record) error {
	body, err := record.Body(m)
	if err != nil {
		return err
	}
	r.Body = body
	return w.store.Write(ctx, func(tx store.Tx) error {
		if r.Collection == "" {
			_, err = tx.Update(ctx, r)
		} else {
			_, err = tx.Create(ctx, r)
		}
		return err
	})
}

// dueBy reckons from the journal alone what ought to have been alerted.
func dueBy(t tester, s store.Store) map[string]bool {
	w := newWorld()
	w.store = s
	for after := uint64(0); ; {
		changes, err := s.Changes(context.Background(), after, 0, store.Lots, store.WantedLists)
		if err != nil {
			t.Fatal(err)
		}
		if len(changes) == 0 {
			return w.due
		}
		for _, c := range changes {
			after = c.Number
			w.reckon(t, c)
		}
	}
}

func (w *world) reckon(t tester, c store.Change) {
	switch {
	case c.Op == store.OpDelete:
		delete(w.lists, c.Record.Name)
	case c.Record.Collection == store.Lots:
		lot, err := record.Lot(c.Record)
		if err != nil {
			t.Fatal(err)
		}
		w.dueForLot(lot)
	default:
		list, err := record.WantedList(c.Record)
		if err != nil {
			t.Fatal(err)
		}
		w.dueForList(list)
	}
}

// noticedOnce sees that no lot's keeper was told of a number of seekers twice, and
// that those were told whose lot anybody has looked for.
func noticedOnce(t *testing.T, w *world) {
	t.Helper()
	told := map[string]bool{}
	records, err := allOf(t.Context(), w.store, store.Notices)
	if err != nil {
		t.Fatal(err)
	}
	lots := map[string]bool{}
	for _, r := range records {
		n, err := record.Notice(r)
		if err != nil {
			t.Fatal(err)
		}
		key := fmt.Sprint(n.GetInterest().GetLot(), n.GetInterest().GetSeekers())
		if told[key] {
			t.Errorf("noticed twice: %v", n)
		}
		told[key], lots[n.GetInterest().GetLot()] = true, true
	}
	for key := range w.made(t) {
		if lot := strings.Fields(key)[2]; !lots[lot] {
			t.Errorf("the keeper of %s was never told", lot)
		}
	}
}

// allOf lists a whole collection.
func allOf(ctx context.Context, s store.Reader, c store.Collection) (all []store.Record, err error) {
	for l := (store.Listing{Collection: c, AnyParent: true}); ; {
		records, err := s.List(ctx, l)
		if err != nil || len(records) == 0 {
			return all, err
		}
		all = append(all, records...)
		l.After = records[len(records)-1].Created
	}
}
