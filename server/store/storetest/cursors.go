package storetest

import (
	"testing"

	"heirpress/server/store"
)

func cursors(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"moved":   cursorMoved,
		"refused": cursorRefused,
	})
}

func cursorMoved(t *testing.T, s store.Store) {
	ctx := t.Context()
	wantSame(t, "never moved", must[uint64](t)(s.Cursor(ctx, "index")), 0)
	create(t, s, lot("a", ""), lot("b", ""))
	for _, to := range []uint64{1, 2, 0, 2} {
		write(t, s, func(tx store.Tx) error { return tx.MoveCursor(ctx, "index", to) })
		wantSame(t, "Cursor", must[uint64](t)(s.Cursor(ctx, "index")), to)
	}
	write(t, s, func(tx store.Tx) error { return tx.MoveCursor(ctx, "alerts", 1) })
	wantSame(t, "another follower's", must[uint64](t)(s.Cursor(ctx, "index")), 2)
	wantSame(t, "no journal entry", must[uint64](t)(s.Head(ctx)), 2)
}

func cursorRefused(t *testing.T, s store.Store) {
	ctx := t.Context()
	create(t, s, lot("a", ""))
	write(t, s, func(tx store.Tx) error {
		wantInvalid(t, "beyond the head", tx.MoveCursor(ctx, "index", 2), "cursor")
		wantInvalid(t, "no follower", tx.MoveCursor(ctx, "", 1), "follower")
		if _, err := tx.Create(ctx, lot("b", "")); err != nil {
			return err
		}
		return tx.MoveCursor(ctx, "index", 2) // the entry just written
	})
	wantSame(t, "Cursor", must[uint64](t)(s.Cursor(ctx, "index")), 2)
}
