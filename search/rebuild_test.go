package search

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// While an index is rebuilt, again and again, searches find what they should,
// a follower keeps up, and the change number never goes back.
func TestRebuildInUse(t *testing.T) {
	d, j, dir := newDice(31), newJournal(), t.TempDir()
	j.write(d, 400)
	x := openIndex(t, dir)
	ctx, cancel := context.WithCancel(context.Background())
	var tasks sync.WaitGroup
	defer tasks.Wait()
	defer cancel()
	tasks.Go(func() { _ = Follow(ctx, x, short{j, 20}) })
	if err := x.WaitFor(ctx, j.head()); err != nil {
		t.Fatal(err)
	}
	var searches atomic.Int64
	for seed := range uint64(3) {
		tasks.Go(func() { searches.Add(searchAlong(ctx, t, x, j, newDice(seed))) })
	}
	for range 6 {
		j.write(d, 30)
		if err := x.Rebuild(ctx, j.standing, j); err != nil {
			t.Fatal(err)
		}
	}
	if err := x.WaitFor(ctx, j.head()); err != nil {
		t.Fatal(err)
	}
	cancel()
	tasks.Wait()
	if searches.Load() == 0 {
		t.Error("nothing was searched meanwhile")
	}
	newest(t, dir) // Only one index is left.
	for range 20 {
		f := d.filter()
		agree(t, x, j.until(j.head()), f, d.order(f), 30)
	}
}

// searchAlong searches until it is stopped, and holds every answer against the
// journal at the change number of the answer.
func searchAlong(ctx context.Context, t *testing.T, x *Index, j *journal, d dice) (searches int64) {
	var last uint64
	for ctx.Err() == nil {
		f := d.filter()
		result, err := x.Search(ctx, Query{Filter: f})
		if err != nil {
			if ctx.Err() == nil {
				t.Errorf("search: %v", err)
			}
			return searches
		}
		if result.Change < last {
			t.Errorf("went back from change %d to %d", last, result.Change)
		}
		last = result.Change
		if want := len(j.until(result.Change).search(f, pb.LotOrder_LOT_ORDER_NEWEST)); result.Total != want {
			t.Errorf("%v at change %d: found %d lots, not %d", f, result.Change, result.Total, want)
		}
		searches++
	}
	return searches
}

// A rebuilt index is what following made of it.
func TestRebuildEqualsFollowing(t *testing.T) {
	d, j := newDice(32), newJournal()
	j.write(d, 5000) // More than one batch.
	x := openIndex(t, t.TempDir())
	if err := x.Rebuild(context.Background(), j.standing, j); err != nil {
		t.Fatal(err)
	}
	if x.Change() != j.head() {
		t.Fatalf("at change %d, not %d", x.Change(), j.head())
	}
	for range 30 {
		f := d.filter()
		agree(t, x, j.all, f, d.order(f), 30)
	}
}

// An index that is ahead of its journal, as after the store was put back from a
// copy, goes back to it.
func TestRebuildGoesBackWithItsJournal(t *testing.T) {
	d, j := newDice(33), newJournal()
	j.write(d, 100)
	x := openIndex(t, t.TempDir())
	stir(t, d, x, newTruth(), 500)
	if err := x.Rebuild(context.Background(), j.standing, j); err != nil {
		t.Fatal(err)
	}
	if x.Change() != 100 {
		t.Errorf("at change %d, not 100", x.Change())
	}
	agree(t, x, j.all, nil, pb.LotOrder_LOT_ORDER_NEWEST, 30)
}

func TestRebuildMendsDamage(t *testing.T) {
	j := newJournal()
	j.write(newDice(34), 200)
	x := openIndex(t, t.TempDir())
	x.now.fail(fmt.Errorf("%w: as the test says", ErrDamaged))
	if err := x.Rebuild(context.Background(), j.standing, j); err != nil {
		t.Fatal(err)
	}
	agree(t, x, j.all, nil, pb.LotOrder_LOT_ORDER_NEWEST, 30)
}

// A rebuild that fails leaves the index in use as it was, and nothing beside.
func TestRebuildThatFails(t *testing.T) {
	d, j, dir := newDice(35), newJournal(), t.TempDir()
	j.write(d, 100)
	x := openIndex(t, dir)
	all := newTruth()
	change := stir(t, d, x, all, 150)
	want := errors.New("the store is shut")
	nameless := &pb.Lot{Title: "no name"}
	cases := map[string]struct {
		standing Standing
		source   Source
		want     error
	}{
		"no lots":        {func(context.Context) (uint64, iter.Seq2[*pb.Lot, error], error) { return 0, nil, want }, j, want},
		"lots break off": {lots(100, nil, want), j, want},
		"a bad lot":      {lots(100, nameless, nil), j, nil},
		"no journal":     {j.standing, broken{changes: want}, want},
	}
	for name, c := range cases {
		err := x.Rebuild(context.Background(), c.standing, c.source)
		if err == nil || (c.want != nil && !errors.Is(err, c.want)) {
			t.Errorf("%s: %v", name, err)
		}
		if x.Change() != change {
			t.Errorf("%s: at change %d, not %d", name, x.Change(), change)
		}
		agree(t, x, all, nil, pb.LotOrder_LOT_ORDER_NEWEST, 30)
		newest(t, dir)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := x.Rebuild(ctx, j.standing, j); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// lots gives one lot, or an error.
func lots(change uint64, lot *pb.Lot, err error) Standing {
	return func(context.Context) (uint64, iter.Seq2[*pb.Lot, error], error) {
		return change, func(yield func(*pb.Lot, error) bool) { yield(lot, err) }, nil
	}
}

func TestRebuildAfterClose(t *testing.T) {
	j, dir := newJournal(), t.TempDir()
	x, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
	if err := x.Rebuild(context.Background(), j.standing, j); !errors.Is(err, ErrClosed) {
		t.Errorf("%v, not ErrClosed", err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*"+newSuffix)); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if _, err := os.Stat(filepath.Join(dir, newest(t, dir), sealFile)); err != nil {
		t.Errorf("the closed index lost its seal: %v", err)
	}
}

// Closing an index stops a rebuild of it.
func TestCloseStopsRebuild(t *testing.T) {
	d, j, dir := newDice(36), newJournal(), t.TempDir()
	x, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	begun, rebuilt := make(chan struct{}), make(chan error, 1)
	endless := func(context.Context) (uint64, iter.Seq2[*pb.Lot, error], error) {
		return 1, func(yield func(*pb.Lot, error) bool) {
			close(begun)
			for n := uint64(1); yield(d.lot(int(n), n), nil); n++ {
			}
		}, nil
	}
	go func() { rebuilt <- x.Rebuild(context.Background(), endless, j) }()
	<-begun
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
	if err := <-rebuilt; !errors.Is(err, ErrClosed) {
		t.Errorf("rebuild: %v, not ErrClosed", err)
	}
	newest(t, dir)
}
