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
