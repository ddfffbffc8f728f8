package alerts_test

import (
	"context"
	"fmt"
	"log/slog"
	"slices"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/server/alerts"
	"heirpress/server/record"
	"heirpress/server/store"
)

// following runs a matcher that has followed everything until the test ends.
func (w *world) following(t tester, ctx context.Context) *alerts.Matcher {
	m := alerts.New(w.store, w, slog.New(slog.DiscardHandler))
	go m.Run(ctx)
	w.waitFor(t, ctx, m)
	return m
}

func (w *world) waitFor(t tester, ctx context.Context, m *alerts.Matcher) {
	head, err := w.store.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	waiting, stop := context.WithTimeout(ctx, 20*time.Second)
	defer stop()
	if err := m.WaitFor(waiting, head); err != nil {
		t.Fatal("the matcher did not catch up: ", err)
	}
}

// seekerAt is a list of two wants, both of which a platen meets, of a seeker in a
// town.
func seekerAt(t tester, n int, town string) *pb.WantedList {
	found, err := place.Find(town)
	if err != nil {
		t.Fatal(err)
	}
	name := fmt.Sprint("wantedLists/s", n)
	return &pb.WantedList{Name: name, Title: name, Place: town, Town: found.Message(), Wants: []*pb.Want{
		{Id: "a", Title: "a platen", Filter: &pb.LotFilter{Words: "platen"}}, {Id: "b", Title: "any press", Filter: &pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_PRESS}}},
	}}
}

func pressIn(t tester, tag, town string) *pb.Lot {
	found, err := place.Find(town)
	if err != nil {
		t.Fatal(err)
	}
	return &pb.Lot{
		Name: "shops/a/lots/" + tag, Tag: tag, Title: "Corwen platen", Kind: pb.Kind_KIND_PRESS,
		State: pb.LotState_LOT_STATE_OFFERED, Town: found.Message(),
	}
}

func interestText(i *pb.Interest) string {
	text := fmt.Sprint(i.GetSeekers())
	for _, b := range i.GetBands() {
		text += fmt.Sprintf(", %d within %d", b.GetSeekers(), b.GetWithinRoadMiles())
	}
	return text
}

// Seekers are counted once each, and told of coarsely: one or two never with how
// near they are.
func TestInterestIsCoarse(t *testing.T) {
	for _, c := range []struct {
		towns []string
		want  string
	}{
		{nil, "0"},
		{[]string{"Dayton, OH"}, "1"},
		{[]string{"Dayton, OH", "Dayton, OH"}, "1"},
		{[]string{"Dayton, OH", "Columbus, OH", "Cincinnati, OH"}, "3, 3 within 100"},
		{[]string{"Dayton, OH", "Columbus, OH", "Cincinnati, OH", "Toledo, OH"}, "3, 3 within 100"},
		{[]string{"Dayton, OH", "Columbus, OH", "Toledo, OH"}, "3, 3 within 200"},
		{[]string{"Dayton, OH", "Columbus, OH", "Cincinnati, OH", "Toledo, OH", "Detroit, MI"}, "5, 3 within 100, 5 within 500"},
		{[]string{"Dayton, OH", "Columbus, OH", "Los Angeles, CA"}, "3"},
		{[]string{"Leeds, England", "Bristol, England", "Paris, France"}, "3"},
		{slices.Repeat([]string{"Dayton, OH"}, 19), "10, 10 within 100"},
		{slices.Repeat([]string{"Dayton, OH"}, 20), "20, 20 within 100"},
	} {
		w := newWorld()
		lot := pressIn(t, "p1", "Dayton, OH")
		w.putLot(t, lot)
		for n, town := range c.towns {
			w.putList(t, seekerAt(t, n, town))
		}
		m := w.following(t, t.Context())
		if got := interestText(m.Interest(lot)); got != c.want {
			t.Errorf("%v: %s, want %s", c.towns, got, c.want)
		}
	}
}

// What is told hangs on nothing but how many seekers there are within each
// distance: not on who they are, where in a band they are, or what they want.
func TestInterestTellsNothingOfASeeker(t *testing.T) {
	lot := pressIn(t, "p1", "Dayton, OH")
	text := func(towns ...string) string {
		w := newWorld()
		for n, town := range towns {
			list := seekerAt(t, n+7, town)
			list.Title = "Somebody in " + town
			w.putList(t, list)
		}
		got := w.following(t, t.Context()).Interest(lot)
		wire, err := proto.MarshalOptions{Deterministic: true}.Marshal(got)
		if err != nil {
			t.Fatal(err)
		}
		return string(wire)
	}
	if text("Columbus, OH", "Dayton, OH", "Springfield, OH") != text("Cincinnati, OH", "Lima, OH", "Xenia, OH") {
		t.Error("three seekers within 100 miles can be told from three others")
	}
}

func (w *world) notices(t tester) (all []string) {
	records, err := w.store.List(context.Background(), store.Listing{Collection: store.Notices, AnyParent: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range records {
		n, err := record.Notice(r)
		if err != nil {
			t.Fatal(err)
		}
		if !r.Open || r.Parent != n.GetShop() || n.GetCreateTime() == nil {
			t.Fatalf("the notice is not whole: %v", n)
		}
		all = append(all, n.GetInterest().GetTag()+" "+fmt.Sprint(n.GetInterest().GetSeekers()))
	}
	return all
}

// The keeper has a notice when more seekers look for a lot than ever before, and
// no other.
func TestNotices(t *testing.T) {
	w := newWorld()
	step := func(what string, do func(), want ...string) {
		t.Helper()
		do()
		w.catchUp(t)
		if got := w.notices(t); !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	lot := pressIn(t, "p1", "Dayton, OH")
	step("nobody looks for it", func() { w.putLot(t, lot) })
	step("the first seeker", func() { w.putList(t, seekerAt(t, 1, "Dayton, OH")) }, "p1 1")
	step("the second", func() { w.putList(t, seekerAt(t, 2, "Dayton, OH")) }, "p1 1")
	step("the third", func() { w.putList(t, seekerAt(t, 3, "Lima, OH")) }, "p1 1", "p1 3")
	step("one goes and another comes", func() {
		w.dropList(t, "wantedLists/s3")
		w.putList(t, seekerAt(t, 4, "Lima, OH"))
	}, "p1 1", "p1 3")
	step("another lot, which three look for at once", func() { w.putLot(t, pressIn(t, "p2", "Dayton, OH")) }, "p1 1", "p1 3", "p2 3")
	step("a change that does not matter", func() {
		red := proto.CloneOf(lot)
		red.Description = "red"
		w.putLot(t, red)
	}, "p1 1", "p1 3", "p2 3")
}

// What is told of who looks for a lot is right at every moment, whatever was put,
// changed and dropped: as a count of all wants says.
func TestInterestIsKeptRight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ctx, cancel := context.WithCancel(context.Background())
		defer cancel()
		w := newWorld()
		m := w.following(t, ctx)
		for range rapid.IntRange(1, 12).Draw(t, "acts") {
			w.act(t)
			w.waitFor(t, ctx, m)
			for _, lot := range w.lots {
				seekers := 0
				for _, list := range w.lists {
					if slices.ContainsFunc(list.GetWants(), func(want *pb.Want) bool { return meets(list, want, lot) }) {
						seekers++
					}
				}
				if got := m.Interest(lot).GetSeekers(); got != int32(min(seekers, 1)) { // there are two lists at most
					t.Fatalf("%d seekers look for %v, and %d are told of", seekers, lot, got)
				}
			}
		}
	})
}
