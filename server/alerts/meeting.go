package alerts

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
	"heirpress/search/score"
	"heirpress/search/standing"
	"heirpress/server/record"
	"heirpress/server/store"
)

// A meeting is a want and a lot that have newly met, or of which there is news.
type meeting struct {
	want   *want
	lot    *pb.Lot
	reason pb.AlertReason
	news   string // what is told, where it is told once whatever the revision
	road   *place.Road
	fit    *pb.Fit
}

func newMeeting(w *want, lot *pb.Lot, why news) meeting {
	road := score.Road(w.list, lot)
	return meeting{want: w, lot: lot, reason: why.reason, news: why.told, road: road, fit: score.Lot(w.list, w.want, lot, road)}
}

// lotChanged holds a changed lot against the wants that stand.
func (m *Matcher) lotChanged(ctx context.Context, c store.Change) (found, error) {
	if c.Op == store.OpDelete || m.wants.none() {
		return found{}, nil
	}
	lot, err := record.Lot(c.Record)
	if err != nil {
		return found{}, err
	}
	var before *pb.Lot
	if c.Op != store.OpCreate {
		if before, err = m.lotAt(ctx, lot.GetName(), c.Number); err != nil {
			return found{}, err
		}
	}
	facts, was := search.Read(lot), (*search.Facts)(nil)
	if before != nil {
		was = search.Read(before)
	}
	met := m.wants.meeting(facts, was)
	alerts, err := m.newlyMet(ctx, lot, newsOf(before, lot, c.Time), met, c.Number)
	return found{alerts: alerts, notices: noticesOf(lot, met)}, err
}

// newlyMet picks of the wants that a lot meets those that must hear of it.
func (m *Matcher) newlyMet(ctx context.Context, lot *pb.Lot, n lotNews, met []standing.Met, at uint64) ([]meeting, error) {
	var newly []meeting
	var list *pb.WantedList
	var listed uint64 // the list, by its number, that was read last
	for _, one := range met {
		if !n.concerns(one) {
			continue
		}
		if list == nil || listed != one.List {
			var err error
			if list, err = listAt(ctx, m.store, one.List, at); err != nil {
				return nil, err
			}
			listed = one.List
		}
		if one.Want >= len(list.GetWants()) {
			return nil, fmt.Errorf("want %d of the list of change %d is not in the store", one.Want, one.List)
		}
		w := newWant(list, list.GetWants()[one.Want])
		if why := n.forWant(one, w.want); why.reason != pb.AlertReason_ALERT_REASON_UNSPECIFIED {
			newly = append(newly, newMeeting(w, lot, why))
		}
	}
	return newly, nil
}

// lotAt is the lot as it was just before a change; nil if it was not.
func (m *Matcher) lotAt(ctx context.Context, name string, before uint64) (*pb.Lot, error) {
	past, err := m.store.History(ctx, name, before, 1)
	if err != nil || len(past) == 0 || past[0].Op == store.OpDelete {
		return nil, err
	}
	return record.Lot(past[0].Record)
}

// listChanged holds what is new in a list against the lots that stood then.
func (m *Matcher) listChanged(ctx context.Context, c store.Change) (found, error) {
	before, err := listBefore(ctx, m.store, c.Record.Name, c.Number)
	if err != nil {
		return found{}, err
	}
	if err := m.wants.follow(c); err != nil || c.Op == store.OpDelete {
		return found{}, err
	}
	list, err := record.WantedList(c.Record)
	if err != nil {
		return found{}, err
	}
	var all found
	for _, w := range list.GetWants() {
		now, old := newWant(list, w), wantOf(before, w.GetId())
		if sameAsk(old, now) {
			continue
		}
		more, err := m.stood(ctx, now, old, c.Number)
		if err != nil {
			return found{}, err
		}
		all.alerts = append(all.alerts, more...)
	}
	all.notices = m.noticed(all.alerts)
	return all, nil
}

// wantOf is a want of a list, by its id; nil if there is none.
func wantOf(list *pb.WantedList, id string) *want {
	for _, w := range list.GetWants() {
		if w.GetId() == id {
			return newWant(list, w)
		}
	}
	return nil
}

// stood finds the lots that a want meets, and as it was before did not, as the
// lots were at the change that brought the want; the best fit first.
func (m *Matcher) stood(ctx context.Context, w, old *want, at uint64) ([]meeting, error) {
	ctx, cancel := context.WithTimeout(ctx, waitAtMost)
	defer cancel()
	var met []meeting
	err := m.eachAt(ctx, w.asked, at, func(was past) {
		if w.meets(was.facts) && !(old != nil && old.meets(was.facts)) {
			met = append(met, newMeeting(w, was.lot, news{reason: pb.AlertReason_ALERT_REASON_NEW_WANT}))
		}
	})
	slices.SortFunc(met, func(a, b meeting) int {
		return cmp.Or(cmp.Compare(b.fit.GetScore(), a.fit.GetScore()), cmp.Compare(b.lot.GetRevision(), a.lot.GetRevision()))
	})
	return met, err
}

// eachAt calls each once with every lot, as it was just before a change, that may
// have passed a filter then. The index finds those that pass as they are now; what
// it passes over must have been changed since.
func (m *Matcher) eachAt(ctx context.Context, f *pb.LotFilter, at uint64, each func(past)) error {
	judged := map[string]bool{}
	err := m.standing.Find(ctx, f, at, func(name string) error {
		if judged[name] {
			return nil
		}
		judged[name] = true
		was, err := m.pastAt(ctx, name, at)
		if err == nil && was.lot != nil {
			each(was)
		}
		return err
	})
	if err != nil {
		return err
	}
	since, err := m.aheadAt(ctx, at, judged)
	for _, was := range since {
		each(was)
	}
	return err
}

// name is the same for the same want, lot and revision; and for the same news of
// a lot that the want met already, whatever the revision.
func (one meeting) name() string {
	told := one.news
	if told == "" {
		told = strconv.FormatUint(one.lot.GetRevision(), 10)
	}
	return "alerts/" + nameOf(one.want.list.GetName(), one.want.want.GetId(), one.lot.GetName(), told)
}

// record is the alert of a meeting, as it is kept.
func (one meeting) record(tx store.Tx) (store.Record, error) {
	list := one.want.list
	a := &pb.Alert{
		Name:       one.name(),
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
