package deliver

import (
	"context"
	"crypto/rand"
	"errors"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

const (
	// leaseTime is how long a dispatch is in the hands of the one that is trying
	// it. sendTime, the most that a try may take, is well below.
	leaseTime = 5 * time.Minute
	sendTime  = 2 * time.Minute
	// writeTime is for writing down how a try ended, even when all is to end.
	writeTime = 10 * time.Second
)

// A job is a dispatch that was claimed, with what it takes to send it.
type job struct {
	dispatch *pb.Dispatch
	kept     *pb.KeptDelivery
	// title is the wanted list's, empty if the list is gone.
	title string
	// alerts are the first that the dispatch tells of, at most mostInFull.
	alerts []*pb.Alert
	now    time.Time
}

// permanent is an error that another try would not mend.
type permanent struct{ error }

func (p permanent) Unwrap() error { return p.error }

// deliver claims a dispatch, sends it and writes down how it ended; false if the
// store failed at the first of these. Should this process die between sending
// and writing, the lease runs out and the dispatch is sent again, with the same
// id.
func (d *Deliverer) deliver(ctx context.Context, l *lane, name string) bool {
	j, err := d.claim(ctx, name)
	if err != nil {
		d.log.Error("deliver: not claimed", "dispatch", name, "error", err)
		return false
	}
	if j == nil {
		return true
	}
	sending, cancel := context.WithTimeout(ctx, sendTime)
	defer cancel()
	err = l.send(sending, j)
	writing, done := context.WithTimeout(context.WithoutCancel(ctx), writeTime)
	defer done()
	if err := d.finish(writing, j, err); err != nil {
		d.log.Error("deliver: how it ended could not be written", "dispatch", name, "error", err)
	}
	return true
}

// claim takes a dispatch into its hands for leaseTime. It returns nil if there
// is nothing to do now: another has it, its time has not come, or it is not
// wanted any more.
func (d *Deliverer) claim(ctx context.Context, name string) (*job, error) {
	var j *job
	err := d.store.Write(ctx, func(tx store.Tx) error {
		j = nil
		one, err := dueDispatch(ctx, tx, name)
		if err != nil || one == nil || later(one.GetNextTryTime().AsTime(), one.GetLeaseEndTime().AsTime()).After(d.now()) {
			return err
		}
		kept, err := wantedOf(ctx, tx, one.GetWantedList())
		if err != nil {
			return err
		}
		ready, err := d.ready(one, kept)
		if err != nil {
			return err
		}
		if ready {
			one.Tries++
			one.Lease, one.LeaseEndTime = rand.Text(), timestamppb.New(d.now().Add(leaseTime))
			j = &job{dispatch: one, kept: kept, now: d.now()}
		}
		return update(ctx, tx, one)
	})
	if err != nil || j == nil {
		return nil, err
	}
	return j, d.fill(ctx, j)
}

// ready tells whether a dispatch goes now. If it does not, it is changed: not
// wanted any more, or not before the quiet hours end.
func (d *Deliverer) ready(one *pb.Dispatch, kept *pb.KeptDelivery) (bool, error) {
	delivery := kept.GetDelivery()
	if one.GetChannel() == pb.Channel_CHANNEL_WEBHOOK {
		if delivery.GetWebhookUrl() == "" {
			d.end(one, pb.DispatchState_DISPATCH_STATE_DROPPED)
			return false, nil
		}
		return true, nil
	}
	if !wantsEmail(delivery) {
		d.end(one, pb.DispatchState_DISPATCH_STATE_DROPPED)
		return false, nil
	}
	if one.GetConfirmation() {
		return d.readyToAsk(one, kept), nil
	}
	if d.unconfirmed(kept) { // the address was changed meanwhile
		if awaits(kept, d.now()).IsZero() {
			d.end(one, pb.DispatchState_DISPATCH_STATE_DROPPED)
			return false, nil
		}
		one.NextTryTime = timestamppb.New(d.now().Add(confirmPause))
		return false, nil
	}
	s, err := settingsOf(delivery)
	if err != nil {
		return false, err
	}
	if opens := s.quiet.after(d.now().In(s.zone)); opens.After(d.now()) {
		one.NextTryTime = timestamppb.New(opens)
		return false, nil
	}
	return true, nil
}

// confirmPause is when it is looked again whether an address is confirmed for which
// something is to be sent already.
const confirmPause = 10 * time.Minute

// readyToAsk tells whether the question is still to be put: its code is the one
// that would be taken.
func (d *Deliverer) readyToAsk(one *pb.Dispatch, kept *pb.KeptDelivery) bool {
	if d.unconfirmed(kept) && !ConfirmExpired(kept, d.now()) && one.GetName() == confirmName(one.GetWantedList(), kept.GetConfirmCode()) {
		return true
	}
	d.end(one, pb.DispatchState_DISPATCH_STATE_DROPPED)
	return false
}

func (d *Deliverer) end(one *pb.Dispatch, state pb.DispatchState) {
	one.State, one.EndTime = state, timestamppb.New(d.now())
	one.Lease, one.LeaseEndTime, one.NextTryTime = "", nil, nil
}

// dueDispatch is a dispatch that is still to be sent, or nil.
func dueDispatch(ctx context.Context, tx store.Tx, name string) (*pb.Dispatch, error) {
	r, err := tx.Get(ctx, name)
	if errors.Is(err, store.ErrNotFound) || err == nil && !r.Open {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return read[pb.Dispatch](r)
}

// wantedOf is keptOf; empty also where the seeker's account was suspended: to them
// nothing is sent.
func wantedOf(ctx context.Context, from store.Reader, list string) (*pb.KeptDelivery, error) {
	shut, err := access.OwnerSuspended(ctx, from, list)
	if err != nil || shut {
		return new(pb.KeptDelivery), err
	}
	return keptOf(ctx, from, list)
}

// keptOf is the delivery of a list; empty if it has none.
func keptOf(ctx context.Context, from store.Reader, list string) (*pb.KeptDelivery, error) {
	r, err := from.Get(ctx, Name(list))
	if errors.Is(err, store.ErrNotFound) {
		return new(pb.KeptDelivery), nil
	}
	if err != nil {
		return nil, err
	}
	return Kept(r)
}

func update(ctx context.Context, tx store.Tx, one *pb.Dispatch) error {
	r, err := dispatchRecord(one)
	if err == nil {
		_, err = tx.Update(ctx, r)
	}
	return err
}

// fill reads what a job tells of.
func (d *Deliverer) fill(ctx context.Context, j *job) error {
	names := j.dispatch.GetAlerts()
	names = names[:min(len(names), mostInFull)]
	records, err := d.store.GetMany(ctx, append([]string{j.dispatch.GetWantedList()}, names...))
	if err != nil {
		return err
	}
	by := map[string]store.Record{}
	for _, r := range records {
		by[r.Name] = r
	}
	if r, there := by[j.dispatch.GetWantedList()]; there {
		list, err := record.WantedList(r)
		if err != nil {
			return err
		}
		j.title = list.GetTitle()
	}
	for _, name := range names {
		if r, there := by[name]; there {
			a, err := record.Alert(r)
			if err != nil {
				return err
			}
			j.alerts = append(j.alerts, a)
		}
	}
	return nil
}

// finish writes down how a try ended, unless the lease has run out meanwhile and
// another try is under way.
func (d *Deliverer) finish(ctx context.Context, j *job, failed error) error {
	var one *pb.Dispatch
	err := d.store.Write(ctx, func(tx store.Tx) (err error) {
		one, err = dueDispatch(ctx, tx, j.dispatch.GetName())
		if err != nil || one == nil || one.GetLease() != j.dispatch.GetLease() {
			one = nil
			return err
		}
		d.judge(one, j, failed)
		if err := update(ctx, tx, one); err != nil {
			return err
		}
		if one.GetState() != pb.DispatchState_DISPATCH_STATE_DEAD {
			return nil
		}
		r, err := deadRecord(one)
		if err == nil {
			_, err = tx.Create(ctx, r)
		}
		return err
	})
	if err == nil && one != nil && failed != nil {
		d.log.Warn("deliver: not sent", "dispatch", one.GetName(), "channel", one.GetChannel().String(), "try", one.GetTries(),
			"dead", one.GetState() == pb.DispatchState_DISPATCH_STATE_DEAD, "error", one.GetLastError())
	}
	return err
}

// judge says what becomes of a dispatch after a try.
func (d *Deliverer) judge(one *pb.Dispatch, j *job, failed error) {
	if failed == nil {
		one.LastError = ""
		d.end(one, pb.DispatchState_DISPATCH_STATE_SENT)
		return
	}
	one.LastError = scrub(failed, j.kept.GetDelivery())
	if forGood := new(permanent); errors.As(failed, forGood) || one.GetTries() >= mostTries {
		d.end(one, pb.DispatchState_DISPATCH_STATE_DEAD)
		return
	}
	one.Lease, one.LeaseEndTime = "", nil
	one.NextTryTime = timestamppb.New(d.now().Add(pause(int(one.GetTries()), d.chance())))
}
