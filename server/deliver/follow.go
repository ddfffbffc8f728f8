package deliver

import (
	"context"
	"errors"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/server/record"
	"heirpress/server/store"
)

// Cursor is the name under which deliveries keep their place in the journal.
const Cursor = "deliveries"

const batch = 500 // journal entries followed in one transaction

// followed are the collections whose changes matter here. What this process
// writes itself comes back by the journal too, as does what others write.
var followed = []store.Collection{store.Alerts, store.Outbox, store.Dispatches, store.Deliveries}

// load takes up the work where it was left: what waits and what is to be sent.
func (d *Deliverer) load(ctx context.Context) (err error) {
	if d.cursor, err = d.store.Cursor(ctx, Cursor); err != nil {
		return err
	}
	d.seen = d.cursor
	d.lists = newAgenda()
	for _, l := range d.lanes {
		l.due = newAgenda()
	}
	for _, c := range []store.Collection{store.Outbox, store.Dispatches, store.Deliveries} {
		if err := d.eachOpen(ctx, c, d.put); err != nil {
			return err
		}
	}
	return nil
}

// eachOpen calls each with every open record of a collection.
func (d *Deliverer) eachOpen(ctx context.Context, c store.Collection, each func(store.Record) error) error {
	for r, err := range store.Each(ctx, d.store, store.Listing{Collection: c, AnyParent: true, OpenOnly: true}) {
		if err != nil {
			return err
		}
		if err := each(r); err != nil {
			return err
		}
	}
	return nil
}

// catchUp follows the journal to its end: alerts become outbox entries, and
// everything else is put down in the agendas.
func (d *Deliverer) catchUp(ctx context.Context) error {
	for {
		head, err := d.store.Head(ctx)
		if err != nil {
			return err
		}
		changes, err := d.store.Changes(ctx, d.seen, batch, followed...)
		if err != nil {
			return err
		}
		if len(changes) == 0 {
			d.seen = max(d.seen, head)
			return nil
		}
		if err := d.followBatch(ctx, changes); err != nil {
			return err
		}
	}
}

func (d *Deliverer) followBatch(ctx context.Context, changes []store.Change) error {
	var alerts []store.Change
	for _, c := range changes {
		if c.Record.Collection == store.Alerts {
			if c.Op == store.OpCreate {
				alerts = append(alerts, c)
			}
			continue
		}
		if err := d.noticed(c); err != nil {
			return err
		}
	}
	last := changes[len(changes)-1].Number
	if len(alerts) > 0 {
		if err := d.enter(ctx, alerts, last); err != nil {
			return err
		}
	}
	d.seen = last
	return nil
}

// noticed puts a change down in the agendas.
func (d *Deliverer) noticed(c store.Change) error {
	switch {
	case c.Record.Collection == store.Deliveries:
		if list, ok := List(c.Record.Name); ok {
			d.lists.set(list, "", d.now()) // what waits may now go at another time, or not at all
		}
		return nil
	case !c.Record.Open || c.Op == store.OpDelete:
		for _, l := range d.lanes {
			l.due.drop(c.Record.Name)
		}
		return nil
	}
	return d.put(c.Record)
}

// put puts an open record down: an outbox entry, or an address to be asked, so that
// its list is planned, a dispatch for when it may be tried.
func (d *Deliverer) put(r store.Record) error {
	switch r.Collection {
	case store.Outbox:
		d.lists.set(r.Parent, "", d.now())
		return nil
	case store.Deliveries:
		if list, ok := List(r.Name); ok {
			d.lists.set(list, "", d.now())
		}
		return nil
	}
	one, err := read[pb.Dispatch](r)
	if err != nil {
		return err
	}
	if l := d.lanes[one.GetChannel()]; l != nil {
		l.due.set(r.Name, r.Parent, later(one.GetNextTryTime().AsTime(), one.GetLeaseEndTime().AsTime()))
	}
	return nil
}

// errMoved says that somebody else has moved the cursor.
var errMoved = errors.New("deliver: another process is following this store")

// enter writes the outbox entries of alerts and moves the cursor, all or nothing.
func (d *Deliverer) enter(ctx context.Context, alerts []store.Change, to uint64) error {
	err := d.store.Write(ctx, func(tx store.Tx) error {
		at, err := tx.Cursor(ctx, Cursor)
		if err != nil {
			return err
		}
		if at != d.cursor {
			return errMoved
		}
		for _, c := range alerts {
			if err := d.enterOne(ctx, tx, c); err != nil {
				return err
			}
		}
		return tx.MoveCursor(ctx, Cursor, to)
	})
	if err == nil {
		d.cursor = to
	}
	return err
}

// enterOne writes the entries of one alert, unless they are there already. An
// alert that is older than the delivery of its list is not delivered.
func (d *Deliverer) enterOne(ctx context.Context, tx store.Tx, c store.Change) error {
	r, err := tx.Get(ctx, Name(c.Record.Parent))
	if errors.Is(err, store.ErrNotFound) || err == nil && c.Number < r.Created {
		return nil
	}
	if err != nil {
		return err
	}
	kept, err := Kept(r)
	if err != nil {
		return err
	}
	a, err := record.Alert(c.Record)
	if err != nil {
		return err
	}
	for _, channel := range d.channels(kept.GetDelivery()) {
		if err := create(ctx, tx, d.entry(a, c, channel)); err != nil {
			return err
		}
	}
	return nil
}

// channels are those that a delivery asks for and this registry has.
func (d *Deliverer) channels(asked *pb.Delivery) []pb.Channel {
	var all []pb.Channel
	if d.mail != nil && wantsEmail(asked) {
		all = append(all, pb.Channel_CHANNEL_EMAIL)
	}
	if asked.GetWebhookUrl() != "" {
		all = append(all, pb.Channel_CHANNEL_WEBHOOK)
	}
	return all
}

func (d *Deliverer) entry(a *pb.Alert, c store.Change, channel pb.Channel) *pb.OutboxEntry {
	return &pb.OutboxEntry{
		Name: entryName(a.GetName(), channel), Alert: a.GetName(), WantedList: c.Record.Parent, Channel: channel,
		Fit: a.GetFit().GetScore(), Urgent: notice.IsUrgent(a.GetLot(), c.Time), CreateTime: timestamppb.New(d.now()),
	}
}

// create writes an entry that is not there yet.
func create(ctx context.Context, tx store.Tx, e *pb.OutboxEntry) error {
	there, err := tx.GetMany(ctx, []string{e.GetName()})
	if err != nil || len(there) > 0 {
		return err
	}
	r, err := entryRecord(e)
	if err != nil {
		return err
	}
	_, err = tx.Create(ctx, r)
	return err
}
