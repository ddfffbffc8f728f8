package client

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
)

func lodgeWoodType(t *testing.T, c *Client) *pb.WantedList {
	t.Helper()
	lodged, err := c.Lodge(t.Context(), &pb.WantedList{Title: "A seeker", Place: "Dayton, OH",
		Wants: []*pb.Want{{Id: "wood", Title: "Wood type", Filter: &pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_WOOD_TYPE}}}}}, nil)
	if err != nil || lodged.Outcome != "lodged" {
		t.Fatalf("%s, %v", lodged.Outcome, err)
	}
	return lodged.List
}

// watching is a watch under way, and what it has told.
type watching struct {
	told  chan string
	away  atomic.Int32
	ended chan error
	stop  context.CancelFunc
}

func watch(t *testing.T, o Options) *watching {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	w := &watching{told: make(chan string, 100), ended: make(chan error, 1), stop: stop}
	go func() {
		w.ended <- FollowAlerts(ctx, o, Watch{
			Told: func(a *pb.Alert) error { w.told <- a.GetLot().GetTag(); return nil },
			Away: func(error) { w.away.Add(1) },
		})
	}()
	t.Cleanup(stop)
	return w
}

// expect waits for alerts of lots, in that order.
func (w *watching) expect(t *testing.T, tags ...string) {
	t.Helper()
	for _, want := range tags {
		select {
		case got := <-w.told:
			if got != want {
				t.Fatalf("told of %s, want %s", got, want)
			}
		case err := <-w.ended:
			t.Fatalf("the watch ended: %v", err)
		case <-time.After(time.Minute):
			t.Fatalf("never told of %s", want)
		}
	}
}

// end ends the watch; it must have nothing more to tell.
func (w *watching) end(t *testing.T) {
	t.Helper()
	w.stop()
	if err := <-w.ended; !errors.Is(err, context.Canceled) && Code(err) != codes.Canceled {
		t.Errorf("it ended with %v", err)
	}
	select {
	case tag := <-w.told:
		t.Errorf("told of %s too", tag)
	default:
	}
}

func TestFollowAlertsThroughRestarts(t *testing.T) {
	dir := t.TempDir()
	address, stop := serve(t, dir, "")
	c, err := Connect(t.Context(), Options{Server: address})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	lodgeWoodType(t, c)
	post(t, c, dayton(), woodType("W0"))
	w := watch(t, Options{Server: address})
	w.expect(t, "W0")
	for i := 1; i < 6; i += 2 {
		post(t, c, dayton(), woodType(fmt.Sprintf("W%d", i)))
		w.expect(t, fmt.Sprintf("W%d", i))
		stop()
		_, stop = serve(t, dir, address)
		for err := errors.New("not yet"); err != nil; {
			_, err = c.AllShops(t.Context()) // the server is back when this is answered
		}
		post(t, c, dayton(), woodType(fmt.Sprintf("W%d", i+1)))
		w.expect(t, fmt.Sprintf("W%d", i+1))
	}
	w.end(t)
	if w.away.Load() != 3 {
		t.Errorf("heard %d times that the server was away, want 3", w.away.Load())
	}
	open, err := c.AllAlerts(t.Context(), false)
	if err != nil || len(open) != 7 {
		t.Errorf("%d alerts, %v", len(open), err)
	}
}

func TestFollowAlertsEndsWithWhoIsTold(t *testing.T) {
	enough := errors.New("enough")
	for _, embedded := range []bool{true, false} {
		o := Options{Dir: t.TempDir()}
		if !embedded {
			o.Server, _ = serve(t, o.Dir, "")
		}
		c, err := Connect(t.Context(), o)
		if err != nil {
			t.Fatal(err)
		}
		lodgeWoodType(t, c)
		post(t, c, dayton(), woodType("W0"))
		if err := c.Close(); err != nil {
			t.Fatal(err)
		}
		if err := FollowAlerts(t.Context(), o, Watch{Told: func(*pb.Alert) error { return enough }}); !errors.Is(err, enough) {
			t.Errorf("embedded %t: %v", embedded, err)
		}
	}
}

func TestFollowAlertsOfOnesOwnRegistry(t *testing.T) {
	dir := t.TempDir()
	c, err := Connect(t.Context(), Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	lodgeWoodType(t, c)
	post(t, c, dayton(), woodType("W0"))
	w := watch(t, Options{Dir: dir, Wait: time.Second}) // finds it busy at first
	time.Sleep(1200 * time.Millisecond)
	if err := c.Close(); err != nil {
		t.Fatal(err)
	}
	w.expect(t, "W0")
	if c, err = Connect(t.Context(), Options{Dir: dir}); err != nil {
		t.Fatal(err)
	}
	post(t, c, dayton(), woodType("W1"))
	if err := c.Close(); err != nil {
		t.Fatal(err)
	}
	w.expect(t, "W1")
	w.end(t)
}

func TestFollowAlertsOfNobody(t *testing.T) {
	err := FollowAlerts(t.Context(), Options{Server: "127.0.0.1:1"}, Watch{})
	if Code(err) != codes.Unavailable {
		t.Errorf("got %v", err)
	}
}

func TestLodge(t *testing.T) {
	c := own(t)
	first := lodgeWoodType(t, c)
	again, err := c.Lodge(t.Context(), &pb.WantedList{Title: "a  SEEKER", Place: "Akron, OH", Wants: first.GetWants()}, nil)
	if err != nil || again.Outcome != "changed" || again.List.GetName() != first.GetName() || again.List.GetTown().GetName() != "Akron" {
		t.Fatalf("%v, %v", again, err)
	}
	same, err := c.Lodge(t.Context(), &pb.WantedList{Title: "a  SEEKER", Place: "Akron, OH", Wants: first.GetWants()}, nil)
	if err != nil || same.Outcome != "stands already" || same.List.GetEtag() != again.List.GetEtag() {
		t.Errorf("%v, %v", same, err)
	}
	if wrong, err := c.Lodge(t.Context(), &pb.WantedList{Title: "a seeker", Place: "Xyzzyville", Wants: first.GetWants()}, nil); Code(err) != codes.InvalidArgument {
		t.Errorf("%s, %v", wrong.Outcome, err)
	}
	lists, err := c.AllWantedLists(t.Context())
	if err != nil || len(lists) != 1 {
		t.Errorf("%d lists, %v", len(lists), err)
	}
}

func TestPages(t *testing.T) {
	ask := func(token string) ([]int, string, error) {
		switch token {
		case "":
			return []int{1, 2}, "b", nil
		case "b":
			return nil, "c", nil
		case "c":
			return []int{3}, "", nil
		}
		return nil, "", errors.New("asked for " + token)
	}
	if all, err := pages(ask); err != nil || !slices.Equal(all, []int{1, 2, 3}) {
		t.Errorf("got %v, %v", all, err)
	}
	broken := func(token string) ([]int, string, error) {
		if token != "" {
			return nil, "", errors.New("gone")
		}
		return []int{1}, "b", nil
	}
	if all, err := pages(broken); err == nil || all != nil {
		t.Errorf("got %v, %v", all, err)
	}
}
