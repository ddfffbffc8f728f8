package deliver

import (
	"context"

	"heirpress/server/store"
)

// EraseCursor is the name under which it is kept how far the journal is free of
// addresses that are no longer in use.
const EraseCursor = "erasedDeliveries"

// seldom is by how many changes the cursor is moved where there is nothing to
// erase, so that the journal need not be read from so far back.
const seldom = 1000

// Erase takes out of the journal the addresses and secrets of deliveries that have
// been changed, deleted or dropped with their list since. A registry calls it now
// and then: it goes on where it was, and to do it twice does no harm.
func Erase(ctx context.Context, s store.Store) error {
	for {
		at, err := s.Cursor(ctx, EraseCursor)
		if err != nil {
			return err
		}
		head, err := s.Head(ctx)
		if err != nil {
			return err
		}
		changes, err := s.Changes(ctx, at, batch, store.Deliveries)
		if err != nil {
			return err
		}
		if len(changes) == 0 && head < at+seldom {
			return nil
		}
		if len(changes) > 0 {
			head = changes[len(changes)-1].Number
		}
		if err := eraseUpTo(ctx, s, changes, head); err != nil {
			return err
		}
	}
}

func eraseUpTo(ctx context.Context, s store.Store, changes []store.Change, to uint64) error {
	return s.Write(ctx, func(tx store.Tx) error {
		for _, c := range changes {
			if _, err := tx.Erase(ctx, c.Record.Name); err != nil {
				return err
			}
		}
		return tx.MoveCursor(ctx, EraseCursor, to)
	})
}
