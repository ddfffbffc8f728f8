package storetest

import (
	"testing"

	"heirpress/server/store"
)

func transactions(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"error undoes all":       txError,
		"panic undoes all":       txPanic,
		"exit undoes all":        txExit,
		"reads its own writes":   txReads,
		"unseen until committed": txUnseen,
		"over":                   txOver,
		"error not to be hidden": txHidden,
	})
}

// everything does one of each change, on a store prepared by before.
func everything(t *testing.T, tx store.Tx) {
	ctx := t.Context()
	must[store.Record](t)(tx.Create(ctx, keyed("new", "p", "19")))
	must[store.Record](t)(tx.Update(ctx, keyed("a", "p", "18")))
	must[uint64](t)(tx.Delete(ctx, "b"))
	for _, err := range []error{
		tx.MoveCursor(ctx, "index", 3),
		tx.MoveCursor(ctx, "alerts", 5),
		tx.Remember(ctx, store.Answer{ID: "q2", Body: []byte("two")}),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
}

func before(t *testing.T, s store.Store) {
	t.Helper()
	create(t, s, keyed("a", "p", "17"), keyed("b", "p", "b"))
	write(t, s, func(tx store.Tx) error {
		if err := tx.MoveCursor(t.Context(), "index", 2); err != nil {
			return err
		}
		return tx.Remember(t.Context(), store.Answer{ID: "q1", Body: []byte("one")})
	})
}

// picture tells all that a store holds of before and everything.
func picture(t *testing.T, s store.Reader) string {
	t.Helper()
	ctx := t.Context()
	all := text(must[[]store.Record](t)(s.List(ctx, store.Listing{Collection: store.Lots, AnyParent: true})))
	all += text(must[[]store.Change](t)(s.Changes(ctx, 0, 0)))
	for _, follower := range []string{"index", "alerts"} {
		all += "\n" + follower + text(must[uint64](t)(s.Cursor(ctx, follower)))
	}
	for _, id := range []string{"q1", "q2"} {
		if a, err := s.Recall(ctx, id); err == nil {
			all += "\n" + text(a)
		}
	}
	for _, key := range []string{"17", "18", "19", "b"} {
		if r, err := s.Find(ctx, store.Lots, "p", key); err == nil {
			all += "\n" + key + " " + r.Name
		}
	}
	return all + "\n" + text(must[uint64](t)(s.Head(ctx))) + text(must[int](t)(s.Count(ctx, store.Lots, "p")))
}

func txError(t *testing.T, s store.Store) {
	before(t, s)
	was := picture(t, s)
	err := s.Write(t.Context(), func(tx store.Tx) error {
		everything(t, tx)
		return errRefused
	})
	if err != errRefused {
		t.Errorf("Write: error %v, want the function's own, unchanged", err)
	}
	wantSame(t, "after an error", picture(t, s), was)
	create(t, s, lot("next", ""))
	wantSame(t, "numbers go on without a gap", must[uint64](t)(s.Head(t.Context())), 3)
}

func txPanic(t *testing.T, s store.Store) {
	before(t, s)
	was := picture(t, s)
	func() {
		defer func() {
			if got := recover(); got != any("test") {
				t.Errorf("recovered %v, want the panic to go on", got)
			}
		}()
		_ = s.Write(t.Context(), func(tx store.Tx) error {
			everything(t, tx)
			panic("test")
		})
	}()
	wantSame(t, "after a panic", picture(t, s), was)
	create(t, s, lot("next", "")) // it is still usable
}

// txExit ends the goroutine inside a transaction, as a failing test does.
func txExit(t *testing.T, s store.Store) {
	before(t, s)
	was := picture(t, s)
	done := make(chan struct{})
	t.Run("inside", func(inside *testing.T) {
		defer close(done)
		_ = s.Write(inside.Context(), func(tx store.Tx) error {
			everything(t, tx)
			inside.SkipNow()
			return nil
		})
	})
	<-done
	wantSame(t, "after an exit", picture(t, s), was)
	create(t, s, lot("next", ""))
}

func txReads(t *testing.T, s store.Store) {
	before(t, s)
	var inside string
	write(t, s, func(tx store.Tx) error {
		everything(t, tx)
		inside = picture(t, tx)
		many := must[[]store.Record](t)(tx.GetMany(t.Context(), []string{"a", "b", "new"}))
		wantSame(t, "GetMany", names(sorted(many)), []string{"a", "new"})
		wantSame(t, "History", numbers(must[[]store.Change](t)(tx.History(t.Context(), "b", 0, 0))), []uint64{5, 2})
		return nil
	})
	wantSame(t, "what the transaction saw", picture(t, s), inside)
}

func txUnseen(t *testing.T, s store.Store) {
	before(t, s)
	was := picture(t, s)
	write(t, s, func(tx store.Tx) error {
		everything(t, tx)
		wantSame(t, "from outside, before the commit", picture(t, s), was)
		return nil
	})
	if picture(t, s) == was {
		t.Error("nothing changed by the commit")
	}
}

func txOver(t *testing.T, s store.Store) {
	ctx := t.Context()
	for name, result := range map[string]error{"committed": nil, "refused": errRefused} {
		var kept store.Tx
		wantErr(t, "Write", s.Write(ctx, func(tx store.Tx) error {
			kept = tx
			return result
		}), result)
		for call, err := range callTx(ctx, kept) {
			wantErr(t, name+" "+call, err, store.ErrOver)
		}
	}
	wantSame(t, "Head", must[uint64](t)(s.Head(ctx)), 0)
}

// txHidden hides the error of a call that was cancelled: that must not commit.
func txHidden(t *testing.T, s store.Store) {
	err := s.Write(t.Context(), func(tx store.Tx) error {
		must[store.Record](t)(tx.Create(t.Context(), lot("a", "")))
		_, _ = tx.Create(canceled(), lot("b", ""))
		return nil
	})
	wantErr(t, "Write", err, canceled().Err())
	wantSame(t, "Head", must[uint64](t)(s.Head(t.Context())), 0)
}
