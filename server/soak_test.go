package server_test

import (
	"context"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"github.com/emersion/go-smtp"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/standing/standingtest"
	"heirpress/server"
	"heirpress/server/deliver"
)

// soakActs is how much is done in each of the three parts of TestSoak.
var soakActs = flag.Int("soak-acts", 250, "how many things are done in each part of the soak")

// TestSoak lives a busy hour of a registry in some seconds: lots posted and
// changed, lists lodged, changed and dropped, alerts streamed and acknowledged, and
// sent by e-mail and webhook. What it holds in memory does not grow: after the
// second half it is about what it was after the first.
func TestSoak(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	s := newSoak(t)
	s.run(t, *soakActs) // to its full size
	first := s.run(t, *soakActs)
	second := s.run(t, *soakActs)
	t.Logf("%d alerts, %d e-mails, %d webhooks; heap %d KiB, then %d KiB; goroutines %d, then %d",
		s.heard.Load(), s.mails.Load(), s.hooks.Load(), first.heap>>10, second.heap>>10, first.goroutines, second.goroutines)
	if second.heap > first.heap+first.heap/4+8<<20 {
		t.Errorf("after as much again it holds %d KiB and not %d", second.heap>>10, first.heap>>10)
	}
	if second.goroutines > first.goroutines+50 { // more than can be under way
		t.Errorf("after as much again there are %d goroutines and not %d", second.goroutines, first.goroutines)
	}
	if s.heard.Load() == 0 || s.mails.Load() == 0 || s.hooks.Load() == 0 {
		t.Error("no alert was heard, or none sent")
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
	change uint64

	hookURL             string
	heard, mails, hooks atomic.Int64
}

// held is what a process holds.
type held struct {
	heap       uint64
	goroutines int
}

const (
	soakLots  = 150
	soakLists = 150
)

func newSoak(t *testing.T) *soak {
	s := &soak{dice: standingtest.New(9)}
	conn := serveWith(t, server.Config{Deliver: s.channels(t)})
	s.lots, s.wants, s.alerts = pb.NewLotServiceClient(conn), pb.NewWantServiceClient(conn), pb.NewAlertServiceClient(conn)
	shop, err := pb.NewShopServiceClient(conn).CreateShop(t.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "Marrowby", Place: "Columbus, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	s.shop = shop.GetShop().GetName()
	s.listen(t, conn)
	return s
}

// channels are a mail server and a receiver of webhooks, which count.
func (s *soak) channels(t *testing.T) *deliver.Config {
	hooks := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		io.Copy(io.Discard, r.Body)
		s.hooks.Add(1)
	}))
	t.Cleanup(hooks.Close)
	s.hookURL = hooks.URL
	mail := smtp.NewServer(smtp.BackendFunc(func(*smtp.Conn) (smtp.Session, error) { return soakMail{&s.mails}, nil }))
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go mail.Serve(l)
	t.Cleanup(func() { mail.Close() })
	return &deliver.Config{Rules: deliver.Rules{Private: true}, Unasked: true, Gather: time.Second, Mail: &deliver.Mail{
		Server: l.Addr().String(), TLS: deliver.NoTLS, From: "alerts@registry.example", PublicURL: "https://registry.example",
	}}
}

// soakMail takes e-mails and counts them.
type soakMail struct{ taken *atomic.Int64 }

func (soakMail) Reset()                               {}
func (soakMail) Logout() error                        { return nil }
func (soakMail) Mail(string, *smtp.MailOptions) error { return nil }
func (soakMail) Rcpt(string, *smtp.RcptOptions) error { return nil }

func (m soakMail) Data(content io.Reader) error {
	m.taken.Add(1)
	_, err := io.Copy(io.Discard, content)
	return err
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

// run does so many things, waits until all is matched, and returns what is held.
func (s *soak) run(t *testing.T, times int) held {
	t.Helper()
	for range times {
		if err := s.act(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.alerts.ListAlerts(t.Context(), &pb.ListAlertsRequest{AtLeastChange: s.change, PageSize: 1}); err != nil {
		t.Fatal(err)
	}
	return held{heap(), runtime.NumGoroutine()}
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
	list := s.list(fmt.Sprint("A list, the ", s.change))
	got, err := s.wants.CreateWantedList(ctx, &pb.CreateWantedListRequest{WantedList: list, Delivery: s.delivery()})
	s.lodged, s.change = append(s.lodged, got.GetWantedList()), got.GetChange()
	return err
}

// delivery is where the alerts of two lists in three are sent.
func (s *soak) delivery() *pb.Delivery {
	switch s.dice.IntN(3) {
	case 0:
		return &pb.Delivery{Email: "ann@seeker.example"}
	case 1:
		return &pb.Delivery{WebhookUrl: s.hookURL, WebhookSecret: hookSecret}
	}
	return nil
}

// list is one of two wants, at times of broad ones whose seeker would go anywhere.
func (s *soak) list(title string) *pb.WantedList {
	if s.dice.IntN(4) > 0 {
		return s.dice.MixedList(title, 2)
	}
	l := s.dice.BroadList(title, 2)
	l.ReachRoadKm = nil
	return l
}

func (s *soak) rewant(ctx context.Context) error {
	list := s.lodged[s.dice.IntN(len(s.lodged))]
	changed := s.list(list.GetTitle())
	changed.Name = list.GetName()
	got, err := s.wants.UpdateWantedList(ctx, &pb.UpdateWantedListRequest{WantedList: changed, UpdateMask: mask("wants")})
	s.change = got.GetChange()
	return err
}

func usd(units int64) *pb.Money { return &pb.Money{CurrencyCode: "USD", Units: units} }
