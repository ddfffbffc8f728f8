package alerts_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/score"
	"heirpress/server/alerts"
	"heirpress/server/record"
	"heirpress/server/store"
	"heirpress/server/store/memory"
)

// world is a store under test, and beside it what ought to have been alerted.
type world struct {
	store store.Store
	lots  map[string]*pb.Lot
	lists map[string]*pb.WantedList
	due   map[string]bool // "list want lot revision"
}

func newWorld() *world {
	return &world{store: memory.New(), lots: map[string]*pb.Lot{}, lists: map[string]*pb.WantedList{}, due: map[string]bool{}}
}

func dueKey(list, want, lot string, revision uint64) string {
	return fmt.Sprintf("%s %s %s %d", list, want, lot, revision)
}

func meets(list *pb.WantedList, w *pb.Want, lot *pb.Lot) bool {
	if w == nil || lot == nil {
		return false
	}
	ok, _ := search.Matches(score.Filter(list, w), lot)
	return ok
}

func (w *world) put(t tester, r store.Record) store.Record {
	err := w.store.Write(context.Background(), func(tx store.Tx) (err error) {
		if _, err := tx.Get(context.Background(), r.Name); errors.Is(err, store.ErrNotFound) {
			r, err = tx.Create(context.Background(), r)
			return err
		}
		r, err = tx.Update(context.Background(), r)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

type tester interface {
	Fatal(...any)
	Fatalf(string, ...any)
}

func (w *world) putLot(t tester, lot *pb.Lot) {
	body, err := record.Body(lot)
	if err != nil {
		t.Fatal(err)
	}
	r := w.put(t, store.Record{Name: lot.GetName(), Collection: store.Lots, Parent: "shops/a", Key: lot.GetTag(), Body: body})
	after, err := record.Lot(r)
	if err != nil {
		t.Fatal(err)
	}
	w.dueForLot(after)
}

// dueForLot reckons what is due when a lot was put.
func (w *world) dueForLot(after *pb.Lot) {
	before := w.lots[after.GetName()]
	w.lots[after.GetName()] = after
	for _, list := range w.lists {
		for _, want := range list.GetWants() {
			if meets(list, want, after) && !meets(list, want, before) {
				w.due[dueKey(list.GetName(), want.GetId(), after.GetName(), after.GetRevision())] = true
			}
		}
	}
}

func (w *world) putList(t tester, list *pb.WantedList) {
	body, err := record.Body(list)
	if err != nil {
		t.Fatal(err)
	}
	w.put(t, store.Record{Name: list.GetName(), Collection: store.WantedLists, Key: list.GetTitle(), Body: body})
	w.dueForList(list)
}

// dueForList reckons what is due when a list was put.
func (w *world) dueForList(list *pb.WantedList) {
	before := w.lists[list.GetName()]
	w.lists[list.GetName()] = list
	for _, want := range list.GetWants() {
		var old *pb.Want
		for _, o := range before.GetWants() {
			if o.GetId() == want.GetId() {
				old = o
			}
		}
		for _, lot := range w.lots {
			if meets(list, want, lot) && !meets(before, old, lot) {
				w.due[dueKey(list.GetName(), want.GetId(), lot.GetName(), lot.GetRevision())] = true
			}
		}
	}
}

func (w *world) dropList(t tester, name string) {
	if w.lists[name] != nil {
		w.drop(t, name)
		delete(w.lists, name)
	}
}

func (w *world) dropLot(t tester, name string) {
	if w.lots[name] != nil {
		w.drop(t, name)
		delete(w.lots, name)
	}
}

func (w *world) drop(t tester, name string) {
	err := w.store.Write(context.Background(), func(tx store.Tx) error {
		_, err := tx.Delete(context.Background(), name)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Find looks at every lot in the store.
func (w *world) Find(ctx context.Context, f *pb.LotFilter, _ uint64, each func(string) error) error {
	records, err := allOf(ctx, w.store, store.Lots)
	if err != nil {
		return err
	}
	for _, r := range records {
		lot, err := record.Lot(r)
		if err != nil {
			return err
		}
		if ok, _ := search.Matches(f, lot); !ok {
			continue
		}
		if err := each(r.Name); err != nil {
			return err
		}
	}
	return nil
}

// catchUp runs a new matcher until it has followed everything.
func (w *world) catchUp(t tester) {
	ctx, cancel := context.WithCancel(context.Background())
	m := alerts.New(w.store, w, slog.New(slog.DiscardHandler))
	ended := make(chan struct{})
	go func() {
		m.Run(ctx)
		close(ended)
	}()
	head, err := w.store.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	waiting, stop := context.WithTimeout(ctx, 20*time.Second)
	if err := m.WaitFor(waiting, head); err != nil {
		t.Fatal("the matcher did not catch up: ", err)
	}
	stop()
	cancel()
	<-ended
}

func (w *world) made(t tester) map[string]bool {
	records, err := allOf(context.Background(), w.store, store.Alerts)
	if err != nil {
		t.Fatal(err)
	}
	made := map[string]bool{}
	for _, r := range records {
		a, err := record.Alert(r)
		if err != nil {
			t.Fatal(err)
		}
		key := dueKey(a.GetWantedList(), a.GetWant(), a.GetLot().GetName(), a.GetLot().GetRevision())
		if made[key] {
			t.Fatalf("alerted twice: %s", key)
		}
		if a.GetFit() == nil || a.GetReason() == pb.AlertReason_ALERT_REASON_UNSPECIFIED || !r.Open || r.Parent != a.GetWantedList() {
			t.Fatalf("alert is not whole: %v", a)
		}
		made[key] = true
	}
	return made
}

var (
	kinds  = []pb.Kind{pb.Kind_KIND_PRESS, pb.Kind_KIND_WOOD_TYPE, pb.Kind_KIND_OTHER}
	states = []pb.LotState{pb.LotState_LOT_STATE_OFFERED, pb.LotState_LOT_STATE_PROMISED, pb.LotState_LOT_STATE_DRAFT}
	titles = []string{"platen jobber", "gothic wood type", "platen for parts"}
)

func drawLot(t *rapid.T) *pb.Lot {
	tag := rapid.SampledFrom([]string{"p1", "p2", "p3", "p4"}).Draw(t, "tag")
	lot := &pb.Lot{
		Name: "shops/a/lots/" + tag, Tag: tag,
		Title: rapid.SampledFrom(titles).Draw(t, "title"),
		Kind:  rapid.SampledFrom(kinds).Draw(t, "kind"),
		State: rapid.SampledFrom(states).Draw(t, "state"),
	}
	if rapid.Bool().Draw(t, "priced") {
		lot.Price = &pb.Money{CurrencyCode: "USD", Units: rapid.Int64Range(0, 5).Draw(t, "price")}
	}
	return lot
}

func drawList(t *rapid.T) *pb.WantedList {
	id := rapid.SampledFrom([]string{"x", "y"}).Draw(t, "list")
	list := &pb.WantedList{Name: "wantedLists/" + id, Title: id}
	for i := range rapid.IntRange(1, 2).Draw(t, "wants") {
		f := &pb.LotFilter{Words: rapid.SampledFrom([]string{"", "platen", "gothic"}).Draw(t, "words")}
		if rapid.Bool().Draw(t, "by kind") {
			f.Kinds = []pb.Kind{rapid.SampledFrom(kinds).Draw(t, "wanted kind")}
		}
		if rapid.Bool().Draw(t, "by price") {
			f.MaxPrice = &pb.Money{CurrencyCode: "USD", Units: rapid.Int64Range(0, 5).Draw(t, "most")}
		}
		list.Wants = append(list.Wants, &pb.Want{Id: fmt.Sprintf("w%d", i), Title: "a want", Filter: f})
	}
	return list
}

func (w *world) act(t *rapid.T) {
	switch rapid.IntRange(0, 10).Draw(t, "act") {
	case 0, 1, 2, 3, 4, 5:
		w.putLot(t, drawLot(t))
	case 10:
		w.dropLot(t, drawLot(t).GetName())
	case 6, 7, 8:
		w.putList(t, drawList(t))
	case 9:
		w.dropList(t, "wantedLists/x")
	}
}

// A matcher that is never behind makes exactly the alerts that are due.
func TestAlertsAreThoseThatAreDue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := newWorld()
		for range rapid.IntRange(1, 15).Draw(t, "acts") {
			w.act(t)
			w.catchUp(t)
		}
		if made := w.made(t); !maps.Equal(made, w.due) {
			t.Fatalf("made %v\ndue  %v", sorted(made), sorted(w.due))
		}
	})
}

// A matcher that was away makes the same alerts, of lots and wants as they were
// meanwhile, however much has changed by the time it comes to them.
func TestALateMatcherMissesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := newWorld()
		for range rapid.IntRange(1, 25).Draw(t, "acts") {
			w.act(t)
			if rapid.IntRange(0, 3).Draw(t, "catch up") == 0 {
				w.catchUp(t)
			}
		}
		w.catchUp(t)
		if made := w.made(t); !maps.Equal(made, w.due) {
			t.Fatalf("made %v\ndue  %v", sorted(made), sorted(w.due))
		}
	})
}

// A lot meets a want; before the matcher comes to the want, the want is changed,
// so that the lot meets it still, and then the lot, so that it meets only the
// want as changed. The index knows of no meeting with the want as it was.
func TestALotThatHasCeasedToMeetAWantAsItWas(t *testing.T) {
	for name, then := range map[string]func(*world, *pb.Lot){
		"dearer":    func(w *world, lot *pb.Lot) { lot.Price = usd(5); w.putLot(t, lot) },
		"withdrawn": func(w *world, lot *pb.Lot) { lot.State = pb.LotState_LOT_STATE_WITHDRAWN; w.putLot(t, lot) },
		"deleted":   func(w *world, lot *pb.Lot) { w.dropLot(t, lot.GetName()) },
	} {
		t.Run(name, func(t *testing.T) {
			w := newWorld()
			lot := pressIn(t, "p1", "Dayton, OH")
			lot.Price = usd(2)
			w.putLot(t, lot)
			w.catchUp(t)
			w.putList(t, wantUpTo(3))
			w.putList(t, wantUpTo(9))
			then(w, proto.CloneOf(lot))
			w.catchUp(t)
			want := map[string]bool{dueKey("wantedLists/x", "w", lot.GetName(), 1): true}
			if made := w.made(t); !maps.Equal(made, want) || !maps.Equal(w.due, want) {
				t.Errorf("made %v, due %v", sorted(made), sorted(w.due))
			}
		})
	}
}

func wantUpTo(most int64) *pb.WantedList {
	return &pb.WantedList{Name: "wantedLists/x", Title: "x", Wants: []*pb.Want{
		{Id: "w", Title: "a press", Filter: &pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_PRESS}, MaxPrice: usd(most)}},
	}}
}

// More lots change ahead of the matcher than are kept in memory.
func TestMoreAheadThanIsHeld(t *testing.T) {
	alerts.HoldAtMost(t, 3)
	w := newWorld()
	for _, price := range []int64{2, 5, 2} {
		for i := range 10 {
			lot := pressIn(t, fmt.Sprint("p", i), "Dayton, OH")
			lot.Price = usd(price)
			w.putLot(t, lot)
		}
		w.putList(t, wantUpTo(3))
		w.putList(t, wantUpTo(1))
	}
	w.catchUp(t)
	if made := w.made(t); !maps.Equal(made, w.due) || len(made) != 20 {
		t.Errorf("made %v\ndue  %v", sorted(made), sorted(w.due))
	}
}

func sorted(m map[string]bool) []string { return slices.Sorted(maps.Keys(m)) }

// The cursor moves with the alerts: a store that refuses the transaction keeps
// neither, and the next matcher makes them once.
func TestAFaultLosesAndDoublesNothing(t *testing.T) {
	w := newWorld()
	w.putList(t, &pb.WantedList{Name: "wantedLists/x", Title: "x", Wants: []*pb.Want{{Id: "w", Title: "any press", Filter: &pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_PRESS}}}}})
	for i := range 20 {
		w.putLot(t, &pb.Lot{Name: fmt.Sprintf("shops/a/lots/p%d", i), Tag: fmt.Sprint("p", i), Title: "platen", Kind: pb.Kind_KIND_PRESS, State: pb.LotState_LOT_STATE_OFFERED})
	}
	faulty := &refusing{Store: w.store, times: 2}
	m := alerts.New(faulty, w, slog.New(slog.DiscardHandler))
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	ended := make(chan struct{})
	go func() {
		m.Run(ctx)
		close(ended)
	}()
	head, _ := w.store.Head(ctx)
	if err := m.WaitFor(ctx, head); err != nil {
		t.Fatal(err)
	}
	cancel()
	<-ended
	if faulty.times != 0 {
		t.Fatalf("the fault was met too seldom: %d left", faulty.times)
	}
	if made := w.made(t); !maps.Equal(made, w.due) || len(made) != 20 {
		t.Fatalf("made %v\ndue  %v", sorted(made), sorted(w.due))
	}
}

// refusing runs a transaction and then takes it back, a few times.
type refusing struct {
	store.Store
	times int
}

var errRefused = errors.New("refused")

func (r *refusing) Write(ctx context.Context, do func(store.Tx) error) error {
	if r.times == 0 {
		return r.Store.Write(ctx, do)
	}
	r.times--
	return r.Store.Write(ctx, func(tx store.Tx) error {
		if err := do(tx); err != nil {
			return err
		}
		return errRefused
	})
}

// Two matchers over one store: the one whose cursor was moved by the other
// starts afresh and doubles nothing.
func TestTwoMatchersDoubleNothing(t *testing.T) {
	w := newWorld()
	w.putList(t, &pb.WantedList{Name: "wantedLists/x", Title: "x", Wants: []*pb.Want{{Id: "w", Title: "anything"}}})
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	one := alerts.New(w.store, w, slog.New(slog.DiscardHandler))
	two := alerts.New(w.store, w, slog.New(slog.DiscardHandler))
	for _, m := range []*alerts.Matcher{one, two} {
		go m.Run(ctx)
	}
	for i := range 30 {
		w.putLot(t, &pb.Lot{Name: fmt.Sprintf("shops/a/lots/p%d", i), Tag: fmt.Sprint("p", i), Title: "platen", State: pb.LotState_LOT_STATE_OFFERED})
	}
	head, _ := w.store.Head(ctx)
	for _, m := range []*alerts.Matcher{one, two} {
		if err := m.WaitFor(ctx, head); err != nil {
			t.Fatal(err)
		}
	}
	if made := w.made(t); !maps.Equal(made, w.due) {
		t.Fatalf("made %v\ndue  %v", sorted(made), sorted(w.due))
	}
}

func TestReasons(t *testing.T) {
	w := newWorld()
	lot := &pb.Lot{Name: "shops/a/lots/p1", Tag: "p1", Title: "platen", State: pb.LotState_LOT_STATE_OFFERED, Price: &pb.Money{CurrencyCode: "USD", Units: 900}}
	cheap := &pb.LotFilter{Words: "platen", MaxPrice: &pb.Money{CurrencyCode: "USD", Units: 500}}
	list := &pb.WantedList{Name: "wantedLists/x", Title: "x", Wants: []*pb.Want{
		{Id: "any", Title: "a platen", Filter: &pb.LotFilter{Words: "platen"}}, {Id: "cheap", Title: "a cheap platen", Filter: cheap},
	}}
	w.putLot(t, lot)
	w.putList(t, list)
	lower := proto.CloneOf(lot)
	lower.Price.Units = 400
	w.putLot(t, lower)
	w.putLot(t, &pb.Lot{Name: "shops/a/lots/p2", Tag: "p2", Title: "another platen", State: pb.LotState_LOT_STATE_OFFERED, Price: &pb.Money{CurrencyCode: "USD", Units: 600}})
	w.catchUp(t)
	records, err := w.store.List(t.Context(), store.Listing{Collection: store.Alerts, Parent: "wantedLists/x"})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, r := range records {
		a, _ := record.Alert(r)
		got = append(got, fmt.Sprint(a.GetWant(), " ", a.GetLot().GetTag(), " ", a.GetReason()))
	}
	want := []string{
		"any p1 ALERT_REASON_NEW_WANT",
		"cheap p1 ALERT_REASON_CHANGED_LOT",
		"any p2 ALERT_REASON_NEW_LOT",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}
