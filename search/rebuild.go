package search

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"os"

	pb "heirpress/proto/heirpress/v1"
)

// Standing gives every lot as it stands, and a change number that all of them
// have at least reached: the journal's head from before the first was read.
type Standing func(ctx context.Context) (change uint64, lots iter.Seq2[*pb.Lot, error], err error)

// Rebuild builds the index afresh beside the one in use, from every lot as it
// stands and then from the journal, and swaps it in once it has come at least
// as far. Searches go on in the old one meanwhile, and so may a follower; only
// for the last few changes writers wait. A journal that ends before the index
// is the truth: the index then goes back to where the journal is.
//
// If anything fails, the index in use stays as it is.
func (x *Index) Rebuild(ctx context.Context, standing Standing, source Source) error {
	x.rebuilding.Lock()
	defer x.rebuilding.Unlock()
	if x.isClosed() {
		return ErrClosed
	}
	aside := x.folder.dir(x.nextNumber()) + newSuffix
	if err := os.RemoveAll(aside); err != nil {
		return fmt.Errorf("search: %w", err)
	}
	g, err := openGeneration(aside, x.options.CheckFirst)
	if err != nil {
		return err
	}
	if err := x.fill(ctx, g, standing, source); err != nil {
		return errors.Join(err, g.closeStore(), os.RemoveAll(aside))
	}
	return x.replace(ctx, g, source)
}

func (x *Index) nextNumber() int {
	x.mu.RLock()
	defer x.mu.RUnlock()
	return x.number + 1
}

// fill puts in every standing lot, and then what was changed meanwhile.
func (x *Index) fill(ctx context.Context, g *generation, standing Standing, source Source) error {
	change, lots, err := standing(ctx)
	if err != nil {
		return err
	}
	var batch []*pb.Lot
	for lot, err := range lots {
		if err != nil {
			return err
		}
		if batch = append(batch, lot); len(batch) == followBatch {
			if err := x.put(ctx, g, 0, batch, nil); err != nil {
				return err
			}
			batch = nil
		}
	}
	if err := x.put(ctx, g, change, batch, nil); err != nil {
		return err
	}
	return x.catchUp(ctx, g, source)
}

// put applies one batch to a generation that nobody else has. Closing the index
// stops it.
func (x *Index) put(ctx context.Context, g *generation, upTo uint64, puts []*pb.Lot, deletes []string) error {
	if x.isClosed() {
		return ErrClosed
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	facts, err := readAll(puts)
	if err != nil {
		return err
	}
	return g.apply(upTo, facts, deletes)
}

// catchUp applies the journal until it has come as far as the index in use, or
// the journal ends.
func (x *Index) catchUp(ctx context.Context, g *generation, source Source) error {
	for g.change.Load() < x.Change() {
		changes, err := source.Changes(ctx, g.change.Load(), followBatch)
		if err != nil || len(changes) == 0 {
			return err
		}
		upTo, puts, deletes := latest(changes)
		if err := x.put(ctx, g, upTo, puts, deletes); err != nil {
			return err
		}
	}
	return nil
}

// replace takes the last steps with writers kept out: it catches up, gives the
// new index its lasting name, and swaps it in.
func (x *Index) replace(ctx context.Context, g *generation, source Source) error {
	x.writing.Lock()
	defer x.writing.Unlock()
	aside, number := g.dir, x.nextNumber()
	if err := x.catchUp(ctx, g, source); err != nil {
		return errors.Join(err, g.closeStore(), os.RemoveAll(aside))
	}
	// The library keeps the path it was opened with: so close, rename, open.
	if err := g.close(); err != nil {
		return errors.Join(err, os.RemoveAll(aside))
	}
	if err := os.Rename(aside, x.folder.dir(number)); err != nil {
		return errors.Join(fmt.Errorf("search: %w", err), os.RemoveAll(aside))
	}
	next, err := openGeneration(x.folder.dir(number), x.options.CheckFirst)
	if err != nil {
		return errors.Join(err, os.RemoveAll(x.folder.dir(number)))
	}
	x.swap(next, number)
	return nil
}
