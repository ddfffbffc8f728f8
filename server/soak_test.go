package server_test

import (
	"context"
	"fmt"
	"runtime"
	"sync/atomic"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/standing/standingtest"
	"heirpress/server"
)

// TestSoak lives an hour of a busy registry in some seconds: lots posted and
// changed, lists lodged, changed and dropped, alerts streamed and acknowledged.
// What it holds in memory does not grow: after the second half it is about what it
// was after the first.
func TestSoak(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	s := newSoak(t)
	s.run(t, 500) // to its full size
	first := s.run(t, 500)
	second := s.run(t, 500)
	t.Logf("%d alerts; heap %d KiB, then %d KiB", s.heard.Load(), first>>10, second>>10)
	if second > first+first/4+8<<20 {
		t.Errorf("after as much again it holds %d KiB and not %d", second>>10, first>>10)
	}
	if s.heard.Load() == 0 {
		t.Error("no alert was heard")
	}
}

// soak is a registry whose lots and lists are as many at the end as early on.
type soak struct {
	dice   *standingtest.Dice
	lots   pb.LotServiceClient
	wants  pb.WantServiceClient
	alerts pb.AlertServiceClient
	shop   string
	posted []*pb.Lot
	lodged []*pb.WantedList
	heard  atomic.Int64
	change uint64
}

const (
	soakLots  = 150
	soakLists = 150
)

func newSoak(t *testing.T) *soak {
	conn := serveWith(t, server.Config{})
	s := &soak{
		dice: standingtest.New(9), lots: pb.NewLotServiceClient(conn), wants: pb.NewWantServiceClient(conn), alerts: pb.NewAlertServiceClient(conn),
	}
	shop, err := pb.NewShopServiceClient(conn).CreateShop(t.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "Marrowby", Place: "Columbus, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	s.shop = shop.GetShop().GetName()
	s.listen(t, conn)
	return s
}

// listen follows the alerts until the test ends.
func (s *soak) listen(t *testing.T, conn *grpc.ClientConn) {
	stream, err := pb.NewAlertServiceClient(conn).StreamAlerts(t.Context(), &pb.StreamAlertsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		for {
			event, err := stream.Recv()
			if err != nil {
				return
			}
			if event.GetAlert() != nil {
				s.heard.Add(1)
				s.alerts.AcknowledgeAlert(t.Context(), &pb.AcknowledgeAlertRequest{Name: event.GetAlert().GetName()}) // one that fails stays in the inbox
			}
		}
	}()
}

// run does so many things, waits until all is matched, and returns the heap.
func (s *soak) run(t *testing.T, times int) uint64 {
	t.Helper()
	for range times {
		if err := s.act(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.alerts.ListAlerts(t.Context(), &pb.ListAlertsRequest{AtLeastChange: s.change, PageSize: 1}); err != nil {
		t.Fatal(err)
	}
	return heap()
}

func heap() uint64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

func (s *soak) act(ctx context.Context) error {
	switch n := s.dice.IntN(10); {
	case n < 2 && len(s.posted) < soakLots:
		return s.post(ctx)
	case n < 4 && len(s.posted) > 0:
		return s.reprice(ctx)
	case n < 8 || len(s.lodged) == 0:
		return s.lodge(ctx)
	}
	return s.rewant(ctx)
}

func (s *soak) post(ctx context.Context) error {
	lot := s.dice.Lot("")
	lot.Tag, lot.Town, lot.ShopTitle = fmt.Sprint("S", len(s.posted)), nil, ""
	got, err := s.lots.CreateLot(ctx, &pb.CreateLotRequest{Parent: s.shop, Lot: lot})
	s.posted, s.change = append(s.posted, got.GetLot()), got.GetChange()
	return err
}

func (s *soak) reprice(ctx context.Context) error {
	lot := proto.CloneOf(s.posted[s.dice.IntN(len(s.posted))])
	lot.Price, lot.Etag = usd(int64(s.dice.IntN(4000))), ""
	got, err := s.lots.UpdateLot(ctx, &pb.UpdateLotRequest{Lot: lot, UpdateMask: mask("price")})
	s.change = got.GetChange()
	return err
}

// lodge lodges a list; where there are enough, one is dropped for it.
func (s *soak) lodge(ctx context.Context) error {
	if len(s.lodged) >= soakLists {
		n := s.dice.IntN(len(s.lodged))
		if _, err := s.wants.DeleteWantedList(ctx, &pb.DeleteWantedListRequest{Name: s.lodged[n].GetName()}); err != nil {
			return err
		}
		s.lodged[n] = s.lodged[len(s.lodged)-1]
		s.lodged = s.lodged[:len(s.lodged)-1]
	}
	list := s.dice.MixedList(fmt.Sprint("A list, the ", s.change), 2)
	got, err := s.wants.CreateWantedList(ctx, &pb.CreateWantedListRequest{WantedList: list})
	s.lodged, s.change = append(s.lodged, got.GetWantedList()), got.GetChange()
	return err
}

func (s *soak) rewant(ctx context.Context) error {
	list := s.lodged[s.dice.IntN(len(s.lodged))]
	changed := s.dice.MixedList(list.GetTitle(), 2)
	changed.Name = list.GetName()
	got, err := s.wants.UpdateWantedList(ctx, &pb.UpdateWantedListRequest{WantedList: changed, UpdateMask: mask("wants")})
	s.change = got.GetChange()
	return err
}

func usd(units int64) *pb.Money { return &pb.Money{CurrencyCode: "USD", Units: units} }
