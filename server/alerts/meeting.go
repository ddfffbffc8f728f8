package alerts

import (
	"cmp"
	"context"
	"slices"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/score"
	"heirpress/server/record"
	"heirpress/server/store"
)

// A meeting is a want and a lot that have newly met.
type meeting struct {
	want   *want
	lot    *pb.Lot
	reason pb.AlertReason
	road   *place.Road
	fit    *pb.Fit
}

func newMeeting(w *want, lot *pb.Lot, reason pb.AlertReason) meeting {
	road := score.Road(w.list, lot)
	return meeting{want: w, lot: lot, reason: reason, road: road, fit: score.Lot(w.list, w.want, lot, road)}
}

// lotChanged holds a changed lot against every want that stands.
func (m *Matcher) lotChanged(ctx context.Context, c store.Change) ([]meeting, error) {
	if c.Op == store.OpDelete {
		return nil, nil
	}
	lot, err := record.Lot(c.Record)
	if err != nil {
		return nil, err
	}
	before, err := m.lotAt(ctx, lot.GetName(), c.Number)
	if err != nil {
		return nil, err
	}
	var met []meeting
	m.wants.couldMeet(lot, func(w *want) {
		if w.meets(lot) && !w.meets(before) {
			met = append(met, newMeeting(w, lot, lotReason(before, lot)))
		}
	})
	slices.SortFunc(met, func(a, b meeting) int {
		return cmp.Or(cmp.Compare(a.want.list.GetName(), b.want.list.GetName()), cmp.Compare(a.want.want.GetId(), b.want.want.GetId()))
	})
	return met, nil
}

// lotAt is the lot as it was just before a change; nil if it was not.
func (m *Matcher) lotAt(ctx context.Context, name string, before uint64) (*pb.Lot, error) {
	past, err := m.store.History(ctx, name, before, 1)
	if err != nil || len(past) == 0 || past[0].Op == store.OpDelete {
		return nil, err
	}
	return record.Lot(past[0].Record)
}

func lotReason(before, lot *pb.Lot) pb.AlertReason {
	if before == nil || before.GetState() != lot.GetState() {
		return pb.AlertReason_ALERT_REASON_NEW_LOT
	}
	return pb.AlertReason_ALERT_REASON_CHANGED_LOT
}

// listChanged holds what is new in a list against the lots that stood then.
func (m *Matcher) listChanged(ctx context.Context, c store.Change) ([]meeting, error) {
	name := c.Record.Name
	before := m.wants.lists[name]
	m.wants.drop(name)
	if c.Op == store.OpDelete {
		return nil, nil
	}
	if err := m.wants.put(c.Record); err != nil {
		return nil, err
	}
	var met []meeting
	for _, w := range m.wants.lists[name] {
		old := find(before, w.want.GetId())
		if sameAsk(old, w) {
			continue
		}
		more, err := m.stood(ctx, w, old, c.Number)
		if err != nil {
			return nil, err
		}
		met = append(met, more...)
	}
	return met, nil
}

func find(among []*want, id string) *want {
	for _, w := range among {
		if w.want.GetId() == id {
			return w
		}
	}
	return nil
}

// stood finds the lots that a want meets, and as it was before did not, as the
// lots were at the change that brought the want; the best fit first. A lot that
// has since ceased to meet it is no news.
func (m *Matcher) stood(ctx context.Context, w, old *want, at uint64) ([]meeting, error) {
	ctx, cancel := context.WithTimeout(ctx, waitAtMost)
	defer cancel()
	var met []meeting
	err := m.standing.Find(ctx, w.asked, at, func(name string) error {
		lot, err := m.lotAt(ctx, name, at)
		if err != nil {
			return err
		}
		if w.meets(lot) && !(old != nil && old.meets(lot)) {
			met = append(met, newMeeting(w, lot, pb.AlertReason_ALERT_REASON_NEW_WANT))
		}
		return nil
	})
	slices.SortStableFunc(met, func(a, b meeting) int { return cmp.Compare(b.fit.GetScore(), a.fit.GetScore()) })
	return met, err
}

// record is the alert of a meeting, as it is kept.
func (one meeting) record(tx store.Tx) (store.Record, error) {
	list := one.want.list
	a := &pb.Alert{
		Name:       alertName(list.GetName(), one.want.want.GetId(), one.lot.GetName(), one.lot.GetRevision()),
		WantedList: list.GetName(), Want: one.want.want.GetId(), WantTitle: one.want.want.GetTitle(),
		Lot: one.lot, Fit: one.fit, Reason: one.reason, CreateTime: timestamppb.New(tx.Now()),
	}
	if one.road != nil && !one.road.None {
		a.RoadMiles, a.RoadMilesLow, a.RoadMilesHigh = one.road.Miles()
	}
	body, err := record.Body(a)
	return store.Record{
		Name: a.GetName(), Collection: store.Alerts, Parent: list.GetName(), Open: true, Body: body,
	}, err
}
