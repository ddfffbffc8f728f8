package deliver

import (
	"context"
	"errors"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// failing is a store whose transactions fail at certain moments.
type failing struct {
	store.Store
	writes, failAt int
}

var errFault = errors.New("the disk is full")

func (f *failing) Write(ctx context.Context, do func(store.Tx) error) error {
	f.writes++
	if f.writes == f.failAt {
		return errFault
	}
	return f.Store.Write(ctx, do)
}

// Whichever transaction fails, the e-mail arrives, always with the same id, and
// is on record as sent.
func TestAFaultAtEveryWrite(t *testing.T) {
	met := 0
	for failAt := 1; failAt == met+1; failAt++ {
		m := newMailServer(t)
		r := newRig(t, m.config())
		r.put(t, &pb.Delivery{Email: address})
		r.alert(t, anAlert(1))
		f := &failing{Store: r.store, failAt: failAt}
		r.Deliverer.store = f
		for range 20 {
			next, err := r.turn(t.Context(), t.Context())
			for r.running() > 0 {
				r.ended(<-r.done)
			}
			if err != nil {
				if !errors.Is(err, errFault) {
					t.Fatal(err)
				}
				if err := r.load(t.Context()); err != nil {
					t.Fatal(err)
				}
			} else if next = sooner(next, r.lanes[pb.Channel_CHANNEL_EMAIL].due.next()); next.After(r.clock.now()) {
				r.clock.set(next)
			}
		}
		ids := map[string]bool{}
		for _, mail := range m.mails() {
			ids[mail.Header.Get("Message-Id")] = true
		}
		all := r.dispatches(t)
		if len(ids) != 1 || len(all) != 1 || all[0].GetState() != pb.DispatchState_DISPATCH_STATE_SENT {
			t.Errorf("with a fault at write %d: arrived as %v, on record %v\n%s", failAt, ids, all, r.log)
		}
		if f.writes >= failAt {
			met = failAt
		}
	}
	if met < 4 { // the outbox entry, the dispatch, the claim, the end
		t.Errorf("there were %d writes only", met)
	}
}
