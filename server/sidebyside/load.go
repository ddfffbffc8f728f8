package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/sidebyside/lots"
)

const (
	// posters post at a time while loading.
	posters = 4
	// updaters move lots on at a time.
	updaters = 16
)

// loaded is what loading heirpress has told. It is kept with the data.
type loaded struct {
	Lots int
	// ReadBy names how the search reads lots.
	ReadBy string
	Seed   uint64
	// Posted is how long it took until all was acknowledged, and Searchable until
	// all could be found.
	Posted, Searchable time.Duration
	// Moved is how many lots were moved on from offered, and Moving how long that
	// took.
	Moved  int
	Moving time.Duration
	// Index and Store are the bytes on disk afterwards.
	Index, Store int64
	// Peak is the most memory that was resident, and CPU the processor time that
	// heirpressd took until all could be found.
	Peak int64
	CPU  time.Duration
}

// loader posts shops into a heirpressd.
type loader struct {
	d    *daemon
	note func(string, ...any)

	mu     sync.Mutex
	posted int
	change uint64
	moves  []move
}

// move is a lot that has gone on since it was posted.
type move struct {
	lot string
	to  pb.LotState
}

// load posts the lots, waits until they can be found, and moves some on.
func load(ctx context.Context, d *daemon, o *options, data string) (*loaded, error) {
	l := &loader{d: d, note: o.note}
	o.note("heirpress: posting %d lots", o.lots)
	start := time.Now()
	if err := l.post(ctx, lots.New(o.seed), o.lots); err != nil {
		return nil, err
	}
	done := &loaded{Lots: l.posted, Seed: o.seed, Posted: time.Since(start)}
	o.note("heirpress: %d lots posted, %.0f a second; waiting for the index", l.posted, perSecond(l.posted, done.Posted))
	if err := waitSearchable(ctx, d, l.change); err != nil {
		return nil, err
	}
	done.Searchable = time.Since(start)
	var err error
	if done.CPU, err = readCPU(d.cmd.Process.Pid); err != nil {
		return nil, err
	}
	o.note("heirpress: all searchable, %.0f a second", perSecond(l.posted, done.Searchable))
	start = time.Now()
	if err := l.moveOn(ctx); err != nil {
		return nil, err
	}
	done.Moved, done.Moving = len(l.moves), time.Since(start)
	o.note("heirpress: %d lots moved on", done.Moved)
	if err := waitSearchable(ctx, d, l.change); err != nil {
		return nil, err
	}
	done.ReadBy = readBy(data)
	done.Index, done.Store = settledSize(ctx, filepath.Join(data, "index")), databaseSize(filepath.Join(data, "registry.db"))
	m, err := readMemory(d.cmd.Process.Pid)
	done.Peak = m.peak
	return done, err
}

func perSecond(n int, in time.Duration) float64 { return float64(n) / in.Seconds() }

// readBy names how an index reads lots, as its folder does: lots-NAME-NUMBER.
func readBy(data string) string {
	names, _ := filepath.Glob(filepath.Join(data, "index", "lots-*"))
	if len(names) == 0 {
		return ""
	}
	parts := strings.Split(filepath.Base(names[0]), "-")
	return parts[1]
}

// post posts so many lots, shop after shop.
func (l *loader) post(ctx context.Context, g *lots.Generator, many int) error {
	made := make(chan *lots.Shop, posters)
	go func() {
		defer close(made)
		for shop := range g.Shops(many) {
			select {
			case made <- shop:
			case <-ctx.Done():
				return
			}
		}
	}()
	return together(ctx, posters, func(ctx context.Context) error {
		for shop := range made {
			if err := l.postShop(ctx, shop); err != nil {
				return err
			}
		}
		return ctx.Err()
	})
}

// together runs a task so many times at once, and stops all at the first fault.
func together(ctx context.Context, times int, task func(context.Context) error) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	var all sync.WaitGroup
	for range times {
		all.Go(func() {
			if err := task(ctx); err != nil {
				cancel(err)
			}
		})
	}
	all.Wait()
	return context.Cause(ctx)
}

const progressEvery = 100_000 // lots

func (l *loader) postShop(ctx context.Context, shop *lots.Shop) error {
	opened, err := l.d.shops.CreateShop(ctx, &pb.CreateShopRequest{Shop: shop.Shop})
	if err != nil {
		return fmt.Errorf("shop %q: %w", shop.Shop.GetTitle(), err)
	}
	written, err := l.d.lots.BatchCreateLots(ctx, &pb.BatchCreateLotsRequest{Parent: opened.GetShop().GetName(), Lots: shop.Lots})
	if err != nil {
		return fmt.Errorf("the lots of %q: %w", shop.Shop.GetTitle(), err)
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	before := l.posted
	l.posted, l.change = l.posted+len(shop.Lots), max(l.change, written.GetChange())
	if before/progressEvery != l.posted/progressEvery {
		l.note("heirpress: %d lots posted", l.posted)
	}
	for i, lot := range written.GetLots() {
		if to := shop.Later[i]; to != pb.LotState_LOT_STATE_UNSPECIFIED {
			l.moves = append(l.moves, move{lot.GetName(), to})
		}
	}
	return nil
}

// moveOn brings lots to the state they have come to.
func (l *loader) moveOn(ctx context.Context) error {
	next := make(chan move, len(l.moves))
	for _, m := range l.moves {
		next <- m
	}
	close(next)
	return together(ctx, updaters, func(ctx context.Context) error {
		for m := range next {
			if err := l.moveLot(ctx, m); err != nil {
				return err
			}
		}
		return ctx.Err()
	})
}

// moveLot moves one lot: to its new home by way of promised.
func (l *loader) moveLot(ctx context.Context, m move) error {
	steps := []pb.LotState{m.to}
	if m.to == pb.LotState_LOT_STATE_REHOMED {
		steps = []pb.LotState{pb.LotState_LOT_STATE_PROMISED, m.to}
	}
	for _, step := range steps {
		updated, err := l.d.lots.UpdateLot(ctx, &pb.UpdateLotRequest{
			Lot: &pb.Lot{Name: m.lot, State: step}, UpdateMask: &fieldmaskpb.FieldMask{Paths: []string{"state"}}})
		if err != nil {
			return fmt.Errorf("%s to %s: %w", m.lot, step, err)
		}
		l.mu.Lock()
		l.change = max(l.change, updated.GetChange())
		l.mu.Unlock()
	}
	return nil
}

// waitSearchable returns when a search has seen every write up to a change.
func waitSearchable(ctx context.Context, d *daemon, change uint64) error {
	for {
		wait, cancel := context.WithTimeout(ctx, 30*time.Second)
		_, err := d.search.SearchLots(wait, &pb.SearchLotsRequest{
			Order: pb.LotOrder_LOT_ORDER_NEWEST, PageSize: 1, AtLeastChange: change})
		cancel()
		if code := status.Code(err); ctx.Err() != nil || code != codes.DeadlineExceeded && code != codes.Unavailable {
			return errors.Join(err, ctx.Err())
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// settledSize is the size of a folder once it has been the same for two seconds;
// it waits a minute for that, at most.
func settledSize(ctx context.Context, dir string) int64 {
	size, since := folderSize(dir), time.Now()
	for end := since.Add(time.Minute); time.Now().Before(end) && time.Since(since) < 2*time.Second; {
		select {
		case <-ctx.Done():
			return size
		case <-time.After(200 * time.Millisecond):
		}
		if now := folderSize(dir); now != size {
			size, since = now, time.Now()
		}
	}
	return size
}
