package alerts

import (
	"context"

	"heirpress/server/store"
)

// Matched tells whether every change up to one that has been made was matched,
// by whichever process runs the matcher of a store.
func Matched(ctx context.Context, s store.Reader, change uint64) (bool, error) {
	at, err := s.Cursor(ctx, Cursor)
	if err != nil || at >= change {
		return err == nil, err
	}
	// The cursor rests where the matcher had last something to look at.
	left, err := s.Changes(ctx, at, 1, store.Lots, store.WantedLists)
	return err == nil && (len(left) == 0 || left[0].Number > change), err
}

// Behind tells how many changes there are, at most, of which a store's matcher
// has still to look at some; 0 if it has nothing to do.
func Behind(ctx context.Context, s store.Reader) (uint64, error) {
	head, err := s.Head(ctx)
	if err != nil {
		return 0, err
	}
	at, err := s.Cursor(ctx, Cursor)
	if err != nil {
		return 0, err
	}
	left, err := s.Changes(ctx, at, 1, store.Lots, store.WantedLists)
	if err != nil || len(left) == 0 || left[0].Number > head {
		return 0, err
	}
	return head - left[0].Number + 1, nil
}
