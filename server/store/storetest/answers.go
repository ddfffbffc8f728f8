package storetest

import (
	"testing"
	"time"

	"heirpress/server/store"
)

func answers(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"recalled": answerRecalled,
		"twice":    answerTwice,
		"refused":  answerRefused,
	})
	t.Run("forgotten", func(t *testing.T) { answerForgotten(t, open) })
}

func remember(t *testing.T, s store.Store, a store.Answer) {
	t.Helper()
	write(t, s, func(tx store.Tx) error { return tx.Remember(t.Context(), a) })
}

func answerRecalled(t *testing.T, s store.Store) {
	full := store.Answer{ID: "CreateLot/ada/1", Fingerprint: []byte{1, 0, 2}, Body: []byte("lot"), Change: 7}
	bare := store.Answer{ID: "CreateLot/ada/2"}
	remember(t, s, full)
	remember(t, s, bare)
	wantSame(t, "full", must[store.Answer](t)(s.Recall(t.Context(), full.ID)), full)
	wantSame(t, "bare", must[store.Answer](t)(s.Recall(t.Context(), bare.ID)), bare)
	wantSame(t, "no journal entry", must[uint64](t)(s.Head(t.Context())), 0)
}

func answerTwice(t *testing.T, s store.Store) {
	a := store.Answer{ID: "q", Body: []byte("first")}
	remember(t, s, a)
	write(t, s, func(tx store.Tx) error {
		wantInvalid(t, "Remember", tx.Remember(t.Context(), store.Answer{ID: "q", Body: []byte("second")}), "answer.id")
		return tx.Remember(t.Context(), store.Answer{ID: "r"}) // the transaction goes on
	})
	wantSame(t, "Recall", must[store.Answer](t)(s.Recall(t.Context(), "q")), a)
	must[store.Answer](t)(s.Recall(t.Context(), "r"))
}

func answerRefused(t *testing.T, s store.Store) {
	big := make([]byte, store.MaxBody+1)
	write(t, s, func(tx store.Tx) error {
		wantInvalid(t, "Remember", tx.Remember(t.Context(), store.Answer{}), "answer.id")
		wantInvalid(t, "Remember", tx.Remember(t.Context(), store.Answer{ID: "\xff"}), "answer.id")
		wantInvalid(t, "Remember", tx.Remember(t.Context(), store.Answer{ID: "q", Body: big}), "answer.body")
		wantInvalid(t, "Remember", tx.Remember(t.Context(), store.Answer{ID: "q", Fingerprint: big}), "answer.fingerprint")
		return nil
	})
	_, err := s.Recall(t.Context(), "q")
	wantErr(t, "Recall", err, store.ErrNotFound)
}

func answerForgotten(t *testing.T, open Open) {
	start := time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)
	now := start
	s := open(t, func() time.Time { return now })
	for i, id := range []string{"q0", "q1", "q2"} {
		now = start.Add(time.Duration(i) * time.Hour)
		remember(t, s, store.Answer{ID: id})
	}
	for _, c := range []struct {
		before time.Duration
		want   int
	}{{0, 0}, {time.Hour, 1}, {time.Hour, 0}, {time.Hour + time.Microsecond, 1}} {
		wantSame(t, "Forget", must[int](t)(s.Forget(t.Context(), start.Add(c.before))), c.want)
	}
	_, err := s.Recall(t.Context(), "q1")
	wantErr(t, "forgotten", err, store.ErrNotFound)
	must[store.Answer](t)(s.Recall(t.Context(), "q2"))
	remember(t, s, store.Answer{ID: "q1"}) // its ID is free again
}
