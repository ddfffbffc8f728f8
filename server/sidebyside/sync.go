package main

import (
	"context"
	"fmt"
	"runtime"
	"sync"

	pb "heirpress/proto/heirpress/v1"
)

// rowBatch is how many rows a rival is given at a time.
const rowBatch = 2_000

// bring gives a rival all lots that heirpress has and it has not, as heirpress
// lists them: shop by shop, those opened since. What a run that was cut off has
// left is taken away first.
func bring(ctx context.Context, d *daemon, to rival, note func(string, ...any)) error {
	after, err := to.reached(ctx)
	if err != nil {
		return err
	}
	if err := to.forget(ctx, after); err != nil {
		return fmt.Errorf("%s: %w", to.name(), err)
	}
	b := &bringer{d: d, to: to, note: note, head: after}
	if err := b.shopsAfter(ctx, after); err != nil {
		return fmt.Errorf("%s: %w", to.name(), err)
	}
	if b.head == after {
		return nil
	}
	note("%s: %d lots in, making its indexes", to.name(), b.many)
	return to.finish(ctx, b.head)
}

type bringer struct {
	d    *daemon
	to   rival
	note func(string, ...any)
	rows []*row
	many int
	head uint64 // the last change that a shop was opened or a lot posted at
}

// shopsAfter brings every shop that was opened after a change.
func (b *bringer) shopsAfter(ctx context.Context, after uint64) error {
	for token := ""; ; {
		page, err := b.d.shops.ListShops(ctx, &pb.ListShopsRequest{PageSize: 1_000, PageToken: token})
		if err != nil {
			return err
		}
		for _, shop := range page.GetShops() {
			if shop.GetRevision() <= after {
				continue
			}
			if err := b.shop(ctx, shop.GetName()); err != nil {
				return err
			}
			b.head = max(b.head, shop.GetRevision())
		}
		if token = page.GetNextPageToken(); token == "" {
			return b.flush(ctx)
		}
	}
}

func (b *bringer) shop(ctx context.Context, name string) error {
	for token := ""; ; {
		page, err := b.d.lots.ListLots(ctx, &pb.ListLotsRequest{Parent: name, PageSize: 1_000, PageToken: token})
		if err != nil {
			return err
		}
		rows, err := rowsOf(page.GetLots())
		if err != nil {
			return err
		}
		b.rows = append(b.rows, rows...)
		if len(b.rows) >= rowBatch {
			if err := b.flush(ctx); err != nil {
				return err
			}
		}
		if token = page.GetNextPageToken(); token == "" {
			return nil
		}
	}
}

// rowsOf reads lots, on every processor.
func rowsOf(lots []*pb.Lot) ([]*row, error) {
	rows, errs := make([]*row, len(lots)), make([]error, len(lots))
	var all sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		all.Go(func() {
			for i := w; i < len(lots); i += workers {
				rows[i], errs[i] = rowOf(lots[i])
			}
		})
	}
	all.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return rows, nil
}

func (b *bringer) flush(ctx context.Context) error {
	if len(b.rows) == 0 {
		return nil
	}
	if err := b.to.add(ctx, b.rows); err != nil {
		return err
	}
	for _, r := range b.rows {
		b.head = max(b.head, uint64(r.id))
	}
	before := b.many
	b.many += len(b.rows)
	b.rows = b.rows[:0]
	if before/progressEvery != b.many/progressEvery {
		b.note("%s: %d lots in", b.to.name(), b.many)
	}
	return nil
}
