package alerts_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// day is a date so many days from now.
func day(in int) *pb.Date {
	y, m, d := time.Now().UTC().AddDate(0, 0, in).Date()
	return &pb.Date{Year: int32(y), Month: int32(m), Day: int32(d)}
}

func usd(units int64) *pb.Money { return &pb.Money{CurrencyCode: "USD", Units: units} }

// told lists what the seeker has been told, oldest first.
func (w *world) told(t *testing.T) []string {
	t.Helper()
	records, err := w.store.List(t.Context(), store.Listing{Collection: store.Alerts, AnyParent: true})
	if err != nil {
		t.Fatal(err)
	}
	var told []string
	for _, r := range records {
		a, err := record.Alert(r)
		if err != nil {
			t.Fatal(err)
		}
		told = append(told, fmt.Sprint(a.GetReason().String()[len("ALERT_REASON_"):]))
	}
	return told
}

// Each case is a lot, what becomes of it step by step, and what a seeker who
// wants a platen with its chase and rollers for at most 500 dollars is told.
func TestWhatASeekerIsToldOfALot(t *testing.T) {
	missing := func(parts ...string) func(*pb.Lot) {
		return func(l *pb.Lot) { l.Parts = &pb.Parts{Missing: parts} }
	}
	onHand := func(parts ...string) func(*pb.Lot) {
		return func(l *pb.Lot) { l.Parts = &pb.Parts{OnHand: parts} }
	}
	clearBy := func(in int) func(*pb.Lot) { return func(l *pb.Lot) { l.ClearBy = day(in) } }
	price := func(units int64) func(*pb.Lot) { return func(l *pb.Lot) { l.Price = usd(units) } }
	state := func(s pb.LotState) func(*pb.Lot) { return func(l *pb.Lot) { l.State = s } }
	nothing := func(*pb.Lot) {}
	for _, c := range []struct {
		what  string
		steps []func(*pb.Lot)
		want  []string
	}{
		{"new", []func(*pb.Lot){nothing}, []string{"NEW_LOT"}},
		{"a change that does not matter", []func(*pb.Lot){nothing, func(l *pb.Lot) { l.Description = "red" }, clearBy(60)}, []string{"NEW_LOT"}},
		{"too dear, and then less so, and then not", []func(*pb.Lot){price(900), price(700), price(450)}, []string{"CHANGED_LOT"}},
		{"cheaper still is no news", []func(*pb.Lot){price(450), price(300)}, []string{"NEW_LOT"}},
		{"dear again, and cheap again", []func(*pb.Lot){price(450), price(900), price(400)}, []string{"NEW_LOT", "CHANGED_LOT"}},
		{"promised, and offered again", []func(*pb.Lot){nothing, state(pb.LotState_LOT_STATE_PROMISED), state(pb.LotState_LOT_STATE_OFFERED)}, []string{"NEW_LOT", "NEW_LOT"}},
		{"to be gone soon, as it was new", []func(*pb.Lot){clearBy(5)}, []string{"NEW_LOT"}},
		{"to be gone sooner, and soon", []func(*pb.Lot){clearBy(60), clearBy(14)}, []string{"NEW_LOT", "NEARER_DEADLINE"}},
		{"to be gone soon, and no day was set", []func(*pb.Lot){nothing, clearBy(10)}, []string{"NEW_LOT", "NEARER_DEADLINE"}},
		{"to be gone sooner, and not yet soon", []func(*pb.Lot){clearBy(60), clearBy(16)}, []string{"NEW_LOT"}},
		{"sooner, where it was soon already", []func(*pb.Lot){clearBy(13), clearBy(6)}, []string{"NEW_LOT"}},
		{"the same near day, taken back and set again", []func(*pb.Lot){nothing, clearBy(10), clearBy(60), clearBy(10)}, []string{"NEW_LOT", "NEARER_DEADLINE"}},
		{"another near day, after the first was taken back", []func(*pb.Lot){nothing, clearBy(10), clearBy(60), clearBy(9)}, []string{"NEW_LOT", "NEARER_DEADLINE", "NEARER_DEADLINE"}},
		{"sooner, of a lot that is too dear", []func(*pb.Lot){price(900), clearBy(5)}, nil},
		{"the missing part is found", []func(*pb.Lot){missing("chase"), onHand("chase")}, []string{"NEW_LOT", "FOUND_PART"}},
		{"one of two missing parts is found, and then the other", []func(*pb.Lot){
			missing("chase", "rollers"), func(l *pb.Lot) { l.Parts = &pb.Parts{OnHand: []string{"chase"}, Missing: []string{"rollers"}} }, onHand("chase", "rollers"),
		}, []string{"NEW_LOT", "FOUND_PART"}},
		{"all the rest is checked and there", []func(*pb.Lot){missing("chase"), func(l *pb.Lot) { l.Parts = &pb.Parts{RestComplete: true} }}, []string{"NEW_LOT", "FOUND_PART"}},
		{"no longer said to be missing, nor to be there", []func(*pb.Lot){missing("chase"), func(l *pb.Lot) { l.Parts = nil }}, []string{"NEW_LOT"}},
		{"a part is found that nobody must have", []func(*pb.Lot){missing("guards"), onHand("guards")}, []string{"NEW_LOT"}},
		{"a part was not spoken of, and is there", []func(*pb.Lot){nothing, onHand("chase", "rollers")}, []string{"NEW_LOT"}},
		{"found, lost and found again", []func(*pb.Lot){missing("chase"), onHand("chase"), missing("chase"), onHand("chase")}, []string{"NEW_LOT", "FOUND_PART"}},
		{"found, and the day is near: one alert", []func(*pb.Lot){missing("chase"), func(l *pb.Lot) { onHand("chase")(l); clearBy(3)(l) }}, []string{"NEW_LOT", "NEARER_DEADLINE"}},
	} {
		w := newWorld()
		w.putList(t, &pb.WantedList{Name: "wantedLists/x", Title: "x", Purse: usd(500), Wants: []*pb.Want{
			{Id: "w", Title: "a platen", Filter: &pb.LotFilter{Words: "platen"}, MustHave: []string{"chase", "rollers"}},
			{Id: "v", Title: "a caster", Filter: &pb.LotFilter{Words: "caster"}, MustHave: []string{"chase"}},
		}})
		lot := &pb.Lot{
			Name: "shops/a/lots/p1", Tag: "p1", Title: "platen jobber", State: pb.LotState_LOT_STATE_OFFERED,
			Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER,
		}
		for _, step := range c.steps {
			lot = proto.CloneOf(lot)
			step(lot)
			w.putLot(t, lot)
		}
		w.catchUp(t)
		if got := w.told(t); !slices.Equal(got, c.want) {
			t.Errorf("%s:\ngot  %v\nwant %v", c.what, got, c.want)
		}
	}
}

// A want that must have other parts than before is met by the same lots: silence.
func TestAWantThatMustHaveMoreIsNoNews(t *testing.T) {
	w := newWorld()
	list := &pb.WantedList{Name: "wantedLists/x", Title: "x", Wants: []*pb.Want{{Id: "w", Title: "a platen", Filter: &pb.LotFilter{Words: "platen"}}}}
	w.putList(t, list)
	w.putLot(t, &pb.Lot{Name: "shops/a/lots/p1", Tag: "p1", Title: "platen", State: pb.LotState_LOT_STATE_OFFERED})
	list = proto.CloneOf(list)
	list.Wants[0].MustHave = []string{"chase"}
	w.putList(t, list)
	w.catchUp(t)
	if got := w.told(t); !slices.Equal(got, []string{"NEW_LOT"}) {
		t.Errorf("told %v", got)
	}
}
