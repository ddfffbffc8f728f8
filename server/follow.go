package server

import (
	"context"
	"errors"
	"iter"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/server/record"
	"heirpress/server/store"
)

// journal is the store's journal as the index follows it.
type journal struct {
	store store.Store
	// public leaves out what is not for everybody.
	public bool
}

// Changes returns what has happened to lots after a change number. Entries about
// anything else are passed over, up to one about nothing that moves the number
// on to where the journal had come.
func (j journal) Changes(ctx context.Context, after uint64, limit int) ([]search.Change, error) {
	head, err := j.store.Head(ctx)
	if err != nil {
		return nil, err
	}
	entries, err := j.store.Changes(ctx, after, limit, store.Lots)
	if err != nil {
		return nil, err
	}
	changes := make([]search.Change, len(entries), len(entries)+1)
	for i, e := range entries {
		if changes[i], err = j.indexed(e); err != nil {
			return nil, err
		}
		after = e.Number
	}
	if len(entries) < limit && head > after {
		changes = append(changes, search.Change{Number: head})
	}
	return changes, nil
}

// indexed is a change of a lot, as the index takes it up. A lot that it is not to
// have is gone for it.
func (j journal) indexed(e store.Change) (search.Change, error) {
	change := search.Change{Number: e.Number, Name: e.Record.Name}
	if e.Op == store.OpDelete {
		return change, nil
	}
	lot, err := record.Lot(e.Record)
	if err == nil && !j.leavesOut(lot) {
		change.Lot = lot
	}
	return change, err
}

func (j journal) leavesOut(lot *pb.Lot) bool { return j.public && !isPublic(lot) }

// Wait returns when there is more.
func (j journal) Wait(ctx context.Context, after uint64) error { return j.store.Wait(ctx, after) }

const refollow = time.Second

// followIndex keeps the index up with the journal. After a fault it goes on
// from where the index is; an index that is damaged, new, or ahead of a store
// that was put back to an earlier day is rebuilt.
func (r *Registry) followIndex(ctx context.Context) {
	for rebuild := r.index.Change() == 0 || r.index.Change() > r.floor; ctx.Err() == nil; {
		err := r.followOnce(ctx, rebuild)
		if ctx.Err() != nil {
			return
		}
		rebuild = errors.Is(err, search.ErrDamaged)
		r.log.Error("index: following again", "error", err, "change", r.index.Change(), "rebuild", rebuild)
		select {
		case <-ctx.Done():
		case <-time.After(refollow):
		}
	}
}

// journal is the journal as the index of this registry follows it. Where there are
// accounts the index has what is for everybody and nothing else: neither a word that
// it suggests, nor a number that it counts, can then tell of a draft.
func (r *Registry) journal() journal {
	return journal{store: r.store, public: r.config.Accounts != NoAccounts}
}

func (r *Registry) followOnce(ctx context.Context, rebuild bool) error {
	if rebuild && r.floor > 0 {
		r.log.Info("index: building it from the store", "lots up to change", r.floor)
		if err := r.index.Rebuild(ctx, r.standingLots, r.journal()); err != nil {
			return err
		}
	}
	return search.Follow(ctx, r.index, r.journal())
}

// standingLots gives every lot as it stands, and the change number from before
// the first was read.
func (r *Registry) standingLots(ctx context.Context) (uint64, iter.Seq2[*pb.Lot, error], error) {
	head, err := r.store.Head(ctx)
	return head, func(yield func(*pb.Lot, error) bool) {
		for one, err := range store.Each(ctx, r.store, store.Listing{Collection: store.Lots, AnyParent: true}) {
			var lot *pb.Lot
			if err == nil {
				lot, err = record.Lot(one)
			}
			if err == nil && r.journal().leavesOut(lot) {
				continue
			}
			if !yield(lot, err) {
				return
			}
		}
	}, err
}

// standing finds lots for the alert matcher, in the index.
type standing struct{ *Registry }

const standingPage = 500

// Find calls each with every lot that passes f; see alerts.Standing.
func (s standing) Find(ctx context.Context, f *pb.LotFilter, change uint64, each func(string) error) error {
	if err := s.index.WaitFor(ctx, change); err != nil {
		return err
	}
	query := search.Query{Filter: f, Order: pb.LotOrder_LOT_ORDER_NEWEST, Limit: standingPage}
	for {
		found, err := s.index.Search(ctx, query)
		if err != nil {
			return err
		}
		for _, h := range found.Hits {
			if err := each(h.Name); err != nil {
				return err
			}
		}
		if !found.More {
			return nil
		}
		query.After = &found.Hits[len(found.Hits)-1].Position
	}
}
