package introduce_test

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/introduce"
	"heirpress/server/store"
	"heirpress/server/store/memory"
)

// In any 24 hours an account does a thing so often and no more, and is told how long
// until it may again: then it may, and a moment sooner it may not.
func TestDaily(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		now := time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)
		s := memory.NewAt(func() time.Time { return now })
		most := rapid.IntRange(1, 5).Draw(rt, "most")
		var done []time.Time
		for range rapid.IntRange(1, 40).Draw(rt, "tries") {
			now = now.Add(time.Duration(rapid.IntRange(0, 600).Draw(rt, "minutes")) * time.Minute)
			err := s.Write(t.Context(), func(tx store.Tx) error {
				return introduce.Daily(t.Context(), tx, "accounts/a", "things", most)
			})
			lately := 0
			for _, at := range done {
				if now.Sub(at) < 24*time.Hour {
					lately++
				}
			}
			var enough *introduce.DailyError
			switch {
			case lately < most && err == nil:
				done = append(done, now)
			case lately < most || !errors.As(err, &enough):
				rt.Fatalf("%d lately of %d, and %v", lately, most, err)
			case enough.After != done[len(done)-most].Add(24*time.Hour).Sub(now):
				rt.Fatalf("told to wait %v", enough.After)
			}
		}
	})
}

// A lot is asked for so often and no more.
func TestMostOfALot(t *testing.T) {
	s := memory.New()
	for n := range introduce.MostOfALot + 1 {
		err := s.Write(t.Context(), func(tx store.Tx) error {
			return introduce.New(t.Context(), tx, &pb.KeptIntroduction{
				Account: fmt.Sprint("accounts/a", n), Introduction: &pb.Introduction{Lot: "shops/a/lots/p1"},
			})
		})
		if want := n == introduce.MostOfALot; errors.Is(err, introduce.ErrTooMany) != want || err != nil && !want {
			t.Fatalf("question %d: %v", n, err)
		}
	}
}

// Of many rehomings the last are shown, the latest first, and all are counted.
func TestTheLastRehomingsAreShown(t *testing.T) {
	s := memory.New()
	const many = 1203 // more than a page of the store
	for n := range many {
		lot := &pb.Lot{Name: fmt.Sprint("shops/a/lots/p", n), Title: fmt.Sprint("press ", n), State: pb.LotState_LOT_STATE_REHOMED}
		err := s.Write(t.Context(), func(tx store.Tx) error {
			k := &pb.KeptIntroduction{Account: "accounts/a", Introduction: &pb.Introduction{Lot: lot.GetName()}}
			if err := introduce.New(t.Context(), tx, k); err != nil {
				return err
			}
			k.PromiseTime = k.GetIntroduction().GetCreateTime()
			if err := introduce.Save(t.Context(), tx, k); err != nil {
				return err
			}
			return introduce.LotMoved(t.Context(), tx, lot)
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	n, last, err := introduce.Rehomed(t.Context(), s, "accounts/a")
	if err != nil || n != many || len(last) != introduce.MostShown {
		t.Fatalf("%d, %v, %v", n, last, err)
	}
	for i, h := range last {
		if want := fmt.Sprint("press ", many-1-i); h.GetLotTitle() != want {
			t.Errorf("number %d is %s, want %s", i, h.GetLotTitle(), want)
		}
	}
}
