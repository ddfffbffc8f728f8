package search

import (
	"context"

	pb "heirpress/proto/heirpress/v1"
)

// followBatch is how many journal entries are put in at once, at most.
const followBatch = 2000

// Change is one entry of the journal, as the index needs it.
type Change struct {
	// Number is the change number.
	Number uint64
	// Name is the lot that was changed; empty for an entry that is about no
	// lot, which only moves the number on.
	Name string
	// Lot is the lot as this change left it; nil if it was deleted.
	Lot *pb.Lot
}

// Source is a journal that an index can follow.
type Source interface {
	// Changes returns entries after a change number, in order and without gaps,
	// at most limit of them; none when there are no more.
	Changes(ctx context.Context, after uint64, limit int) ([]Change, error)
	// Wait returns when there are entries after a change number, or with ctx's
	// error.
	Wait(ctx context.Context, after uint64) error
}

// Follow keeps an index up with a journal until ctx is done or something
// fails, and returns why. How far it has come is kept in the index alone, so it
// may be stopped anywhere and begun again, and loses and repeats nothing.
func Follow(ctx context.Context, x *Index, source Source) error {
	for {
		after := x.Change()
		changes, err := source.Changes(ctx, after, followBatch)
		if err != nil {
			return err
		}
		if len(changes) == 0 {
			if err := source.Wait(ctx, after); err != nil {
				return err
			}
			continue
		}
		upTo, puts, deletes := latest(changes)
		if err := x.Apply(ctx, upTo, puts, deletes); err != nil {
			return err
		}
	}
}

// latest keeps of each lot how the last of the changes left it.
func latest(changes []Change) (upTo uint64, puts []*pb.Lot, deletes []string) {
	last := map[string]int{}
	for i, c := range changes {
		upTo = c.Number
		last[c.Name] = i
	}
	for i, c := range changes {
		switch {
		case c.Name == "" || last[c.Name] != i:
		case c.Lot == nil:
			deletes = append(deletes, c.Name)
		default:
			puts = append(puts, c.Lot)
		}
	}
	return upTo, puts, deletes
}
