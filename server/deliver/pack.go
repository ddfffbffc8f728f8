package deliver

import (
	"context"
	"errors"
	"slices"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// remembered is how long the times of e-mails are kept, for the most in a day:
// yesterday and today, on any clock.
const remembered = 72 * time.Hour

// pack makes dispatches of what waits for a list and may go now. It returns when
// to look again; zero if nothing waits.
func (d *Deliverer) pack(ctx context.Context, list string) (wake time.Time, err error) {
	now := d.now()
	var p packing
	err = d.store.Write(ctx, func(tx store.Tx) error {
		p = packing{tx: tx, list: list, now: now, gather: d.gather}
		if err := p.load(ctx); err != nil {
			return err
		}
		var again time.Time
		if again, err = p.ask(ctx, d); err != nil {
			return err
		}
		if wake, err = p.emails(ctx, d); err != nil {
			return err
		}
		wake = sooner(wake, again)
		return p.webhooks(ctx)
	})
	if err == nil && p.asked != "" {
		d.questions.add(p.asked, now)
	}
	return wake, err
}

// packing is what waits for a list, in a transaction.
type packing struct {
	tx       store.Tx
	list     string
	now      time.Time
	gather   time.Duration
	kept     *pb.KeptDelivery // nil if there is none
	delivery *pb.Delivery     // the same
	asked    string           // the address that is asked to be confirmed, if one is
	entries  map[pb.Channel][]*pb.OutboxEntry
}

func (p *packing) load(ctx context.Context) error {
	p.entries = map[pb.Channel][]*pb.OutboxEntry{}
	for r, err := range store.Each(ctx, p.tx, store.Listing{Collection: store.Outbox, Parent: p.list, OpenOnly: true}) {
		if err != nil {
			return err
		}
		e, err := read[pb.OutboxEntry](r)
		if err != nil {
			return err
		}
		p.entries[e.GetChannel()] = append(p.entries[e.GetChannel()], e)
	}
	r, err := p.tx.Get(ctx, Name(p.list))
	if errors.Is(err, store.ErrNotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	p.kept, err = Kept(r)
	p.delivery = p.kept.GetDelivery()
	return err
}

// emails makes the e-mail that is due, if one is.
func (p *packing) emails(ctx context.Context, d *Deliverer) (wake time.Time, err error) {
	entries := p.entries[pb.Channel_CHANNEL_EMAIL]
	if len(entries) == 0 {
		return time.Time{}, nil
	}
	if !wantsEmail(p.delivery) {
		return time.Time{}, p.settle(ctx, entries, "")
	}
	if d.unconfirmed(p.kept) {
		until := awaits(p.kept, p.now)
		if until.IsZero() {
			err = p.settle(ctx, entries, "")
		}
		return until, err
	}
	s, err := settingsOf(p.delivery)
	if err != nil {
		return time.Time{}, err
	}
	s.gather = p.gather
	sent, err := p.sent(ctx)
	if err != nil {
		return time.Time{}, err
	}
	said := planEmail(p.now, s, waiting(entries), sent)
	if len(said.tell) == 0 {
		return said.wake, nil
	}
	if err := p.dispatch(ctx, pb.Channel_CHANNEL_EMAIL, inOrder(entries, said.tell)); err != nil {
		return time.Time{}, err
	}
	return said.wake, p.remember(ctx, append(sent, p.now))
}

func waiting(entries []*pb.OutboxEntry) []pending {
	all := make([]pending, len(entries))
	for i, e := range entries {
		all[i] = pending{name: e.GetName(), made: e.GetCreateTime().AsTime(), fit: e.GetFit(), urgent: e.GetUrgent()}
	}
	return all
}

// inOrder are the entries of those names, in their order.
func inOrder(entries []*pb.OutboxEntry, names []string) []*pb.OutboxEntry {
	by := map[string]*pb.OutboxEntry{}
	for _, e := range entries {
		by[e.GetName()] = e
	}
	all := make([]*pb.OutboxEntry, len(names))
	for i, name := range names {
		all[i] = by[name]
	}
	return all
}

// webhooks makes a dispatch of each alert.
func (p *packing) webhooks(ctx context.Context) error {
	entries := p.entries[pb.Channel_CHANNEL_WEBHOOK]
	if p.delivery.GetWebhookUrl() == "" {
		return p.settle(ctx, entries, "")
	}
	for _, e := range entries {
		if err := p.dispatch(ctx, pb.Channel_CHANNEL_WEBHOOK, []*pb.OutboxEntry{e}); err != nil {
			return err
		}
	}
	return nil
}

// dispatch puts entries into one dispatch, which is then on record.
func (p *packing) dispatch(ctx context.Context, c pb.Channel, entries []*pb.OutboxEntry) error {
	one := &pb.Dispatch{
		WantedList: p.list, Channel: c, State: pb.DispatchState_DISPATCH_STATE_DUE,
		CreateTime: timestamppb.New(p.now), NextTryTime: timestamppb.New(p.now),
	}
	for _, e := range entries {
		one.Alerts = append(one.Alerts, e.GetAlert())
	}
	one.Name = dispatchName(c, one.Alerts)
	r, err := dispatchRecord(one)
	if err != nil {
		return err
	}
	if _, err := p.tx.Create(ctx, r); err != nil {
		return err
	}
	return p.settle(ctx, entries, one.Name)
}

// settle closes entries: they have gone into a dispatch, or, without one, are
// not wanted any more.
func (p *packing) settle(ctx context.Context, entries []*pb.OutboxEntry, dispatch string) error {
	for _, e := range entries {
		e.Dispatch = dispatch
		r, err := entryRecord(e)
		if err != nil {
			return err
		}
		r.Open = false
		if _, err := p.tx.Update(ctx, r); err != nil {
			return err
		}
	}
	return nil
}

// sent are the times of the list's e-mails that may count against the most in a
// day.
func (p *packing) sent(ctx context.Context) ([]time.Time, error) {
	r, err := p.tx.Get(ctx, timesName(p.list))
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	kept, err := read[pb.EmailTimes](r)
	var times []time.Time
	for _, t := range kept.GetTimes() {
		times = append(times, t.AsTime())
	}
	return times, err
}

func (p *packing) remember(ctx context.Context, times []time.Time) error {
	times = slices.DeleteFunc(times, func(t time.Time) bool { return p.now.Sub(t) > remembered })
	kept := new(pb.EmailTimes)
	for _, t := range times {
		kept.Times = append(kept.Times, timestamppb.New(t))
	}
	body, err := record.Body(kept)
	if err != nil {
		return err
	}
	r := store.Record{Name: timesName(p.list), Collection: store.EmailTimes, Parent: p.list, Body: body}
	if _, err = p.tx.Update(ctx, r); errors.Is(err, store.ErrNotFound) {
		_, err = p.tx.Create(ctx, r)
	}
	return err
}
