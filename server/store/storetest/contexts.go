package storetest

import (
	"context"
	"testing"
	"time"

	"heirpress/server/store"
)

func contexts(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"done before":      ctxBefore,
		"done in a write":  ctxDuring,
		"done in the line": ctxInLine,
		"done in a call":   ctxInCall,
	})
}

// callReader makes every call of a Reader and returns how each ended.
func callReader(ctx context.Context, s store.Reader) map[string]error {
	ends := map[string]error{}
	_, ends["Get"] = s.Get(ctx, "a")
	_, ends["GetMany"] = s.GetMany(ctx, []string{"a"})
	_, ends["Find"] = s.Find(ctx, store.Lots, "", "k")
	_, ends["List"] = s.List(ctx, store.Listing{Collection: store.Lots})
	_, ends["Count"] = s.Count(ctx, store.Lots, "")
	_, ends["Changes"] = s.Changes(ctx, 0, 0)
	_, ends["History"] = s.History(ctx, "a", 0, 0)
	_, ends["Head"] = s.Head(ctx)
	_, ends["Cursor"] = s.Cursor(ctx, "index")
	_, ends["Recall"] = s.Recall(ctx, "q")
	return ends
}

// callTx is callReader for a Tx; what it writes is not valid.
func callTx(ctx context.Context, tx store.Tx) map[string]error {
	ends := callReader(ctx, tx)
	_, ends["Create"] = tx.Create(ctx, store.Record{})
	_, ends["Update"] = tx.Update(ctx, store.Record{})
	_, ends["Delete"] = tx.Delete(ctx, "a")
	ends["MoveCursor"] = tx.MoveCursor(ctx, "", 0)
	_, ends["Erase"] = tx.Erase(ctx, "a")
	ends["Remember"] = tx.Remember(ctx, store.Answer{})
	return ends
}

// callStore is callReader for a Store.
func callStore(ctx context.Context, s store.Store) map[string]error {
	ends := callReader(ctx, s)
	ends["Write"] = s.Write(ctx, func(store.Tx) error { return nil })
	ends["Wait"] = s.Wait(ctx, 0)
	_, ends["Forget"] = s.Forget(ctx, time.Now())
	return ends
}

func ctxBefore(t *testing.T, s store.Store) {
	create(t, s, keyed("a", "", "k"))
	for call, err := range callStore(canceled(), s) {
		wantErr(t, call, err, context.Canceled)
	}
	err := s.Write(t.Context(), func(tx store.Tx) error {
		for call, err := range callTx(canceled(), tx) {
			wantErr(t, call+" in Write", err, context.Canceled)
		}
		return nil
	})
	wantErr(t, "Write", err, context.Canceled)
}

// ctxDuring cancels while a transaction is under way: it must not commit.
func ctxDuring(t *testing.T, s store.Store) {
	ctx, cancel := context.WithCancel(t.Context())
	err := s.Write(ctx, func(tx store.Tx) error {
		must[store.Record](t)(tx.Create(ctx, lot("a", "")))
		cancel()
		return nil
	})
	wantErr(t, "Write", err, context.Canceled)
	_, err = s.Get(t.Context(), "a")
	wantErr(t, "Get", err, store.ErrNotFound)
	create(t, s, lot("a", ""))
}

// ctxInLine cancels a writer that waits for another.
func ctxInLine(t *testing.T, s store.Store) {
	write(t, s, func(store.Tx) error {
		ctx, cancel := context.WithCancel(t.Context())
		second := make(chan error, 1)
		go func() {
			second <- s.Write(ctx, func(store.Tx) error {
				t.Error("the second writer ran beside the first")
				return nil
			})
		}()
		cancel()
		wantErr(t, "the second writer", <-second, context.Canceled)
		return nil
	})
}

// ctxInCall cancels while writes are made as fast as they go: each is either
// made or not, and the store stays whole.
func ctxInCall(t *testing.T, s store.Store) {
	for i := range 20 {
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(i)*100*time.Microsecond)
		done := 0
		for ctx.Err() == nil {
			err := s.Write(ctx, func(tx store.Tx) error {
				for range 20 {
					name := time.Now().String()
					if _, err := tx.Create(ctx, lot(name, "p")); err != nil {
						return err
					}
				}
				return nil
			})
			if err == nil {
				done += 20
			}
		}
		cancel()
		before := must[int](t)(s.Count(t.Context(), store.Lots, "counted"))
		create(t, s, lot(time.Now().String(), "counted"))
		wantSame(t, "the store goes on", must[int](t)(s.Count(t.Context(), store.Lots, "counted")), before+1)
	}
	if err := Check(t.Context(), s); err != nil {
		t.Error(err)
	}
}
