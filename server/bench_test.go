package server_test

import (
	"context"
	"flag"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/standing/standingtest"
	"heirpress/server"
	"heirpress/server/alerts"
	"heirpress/server/record"
	"heirpress/server/store"
	"heirpress/server/store/sqlite"
)

// benchWants is how many wants stand in the benchmarks below.
var benchWants = flag.Int("wants", 1_000_000, "how many wants stand while alerts are measured")

const wantsPerList = 4

// lodged fills a folder with wants that have been matched already.
func lodged(b *testing.B, wants int) string {
	b.Helper()
	dir := b.TempDir()
	s, err := sqlite.Open(filepath.Join(dir, "registry.db"))
	if err != nil {
		b.Fatal(err)
	}
	d := standingtest.New(1)
	for n := 0; n < wants/wantsPerList; n += 1000 {
		err := s.Write(b.Context(), func(tx store.Tx) error { return lodgeMany(tx, d, n, min(n+1000, wants/wantsPerList)) })
		if err != nil {
			b.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		b.Fatal(err)
	}
	return dir
}

func lodgeMany(tx store.Tx, d *standingtest.Dice, from, to int) error {
	ctx := context.Background()
	var last uint64
	for n := from; n < to; n++ {
		list := d.List(fmt.Sprint("list ", n), wantsPerList)
		list.Name = fmt.Sprint("wantedLists/list-", n)
		body, err := record.Body(list)
		if err != nil {
			return err
		}
		r, err := tx.Create(ctx, store.Record{Name: list.Name, Collection: store.WantedLists, Key: list.Title, Body: body})
		if err != nil {
			return err
		}
		last = r.Revision
	}
	return tx.MoveCursor(ctx, alerts.Cursor, last)
}

// served is a registry behind real gRPC on this machine's loopback.
type served struct {
	registry *server.Registry
	conn     *grpc.ClientConn
	stop     func()
}

func serveTCP(b *testing.B, dir string) *served {
	b.Helper()
	r, err := server.Open(b.Context(), server.Config{Dir: dir})
	if err != nil {
		b.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	s := server.NewGRPC(r)
	go s.Serve(listener)
	conn, err := grpc.NewClient(listener.Addr().String(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		b.Fatal(err)
	}
	return &served{registry: r, conn: conn, stop: func() {
		conn.Close()
		s.Stop()
		if err := r.Close(); err != nil {
			b.Error(err)
		}
	}}
}

// ready waits until everything written has been matched, however long it takes.
func (s *served) ready(b *testing.B, change uint64) {
	b.Helper()
	for {
		_, err := pb.NewAlertServiceClient(s.conn).ListAlerts(b.Context(), &pb.ListAlertsRequest{AtLeastChange: change, PageSize: 1})
		if err == nil {
			return
		}
		if status.Code(err) != codes.DeadlineExceeded {
			b.Fatal(err)
		}
	}
}

// BenchmarkReady starts a registry in which a million wants stand, until it has
// matched all there is: first without its book of wants, then with it.
func BenchmarkReady(b *testing.B) {
	dir, change := lodged(b, *benchWants), uint64(*benchWants/wantsPerList)
	start := func() time.Duration {
		began := time.Now()
		s := serveTCP(b, dir)
		defer s.stop()
		s.ready(b, change)
		return time.Since(began)
	}
	anew := start()
	var took time.Duration
	for b.Loop() {
		took += start()
	}
	info, err := os.Stat(filepath.Join(dir, "wants"))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(anew.Seconds(), "s-without-book")
	b.ReportMetric(took.Seconds()/float64(b.N), "s-with-book")
	b.ReportMetric(float64(info.Size())/float64(*benchWants), "book-B/want")
}

// BenchmarkFollow posts lots one by one beside a million wants, and measures from
// the answer to the post, which comes after its commit, to the alert on a stream
// that is followed over gRPC.
func BenchmarkFollow(b *testing.B) {
	s := serveTCP(b, lodged(b, *benchWants))
	defer s.stop()
	list := &pb.WantedList{Title: "The follower", Place: "Dayton, OH", Wants: []*pb.Want{{Title: "A marked lot", Filter: &pb.LotFilter{Words: "zzmarked"}}}}
	made, err := pb.NewWantServiceClient(s.conn).CreateWantedList(b.Context(), &pb.CreateWantedListRequest{WantedList: list})
	if err != nil {
		b.Fatal(err)
	}
	s.ready(b, made.GetChange())
	shop, err := pb.NewShopServiceClient(s.conn).CreateShop(b.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "Marrowby", Place: "Columbus, OH"}})
	if err != nil {
		b.Fatal(err)
	}
	stream, err := pb.NewAlertServiceClient(s.conn).StreamAlerts(b.Context(), &pb.StreamAlertsRequest{WantedList: made.GetWantedList().GetName()})
	if err != nil {
		b.Fatal(err)
	}
	if _, err := stream.Header(); err != nil {
		b.Fatal(err)
	}
	var took []time.Duration
	d := standingtest.New(5)
	before := alertCount(b, s)
	for i := 0; b.Loop(); i++ {
		took = append(took, post(b, s, d, shop.GetShop().GetName(), i, stream))
	}
	slices.Sort(took)
	millis := func(share float64) float64 { return took[int(share*float64(len(took)-1))].Seconds() * 1e3 }
	b.ReportMetric(millis(0.5), "p50-ms")
	b.ReportMetric(millis(0.99), "p99-ms")
	b.ReportMetric(float64(alertCount(b, s)-before)/float64(len(took)), "alerts/lot")
}

// post posts a lot, and returns how long after that its alert came.
func post(b *testing.B, s *served, d *standingtest.Dice, shop string, i int, stream pb.AlertService_StreamAlertsClient) time.Duration {
	lot := d.Lot("")
	lot.Tag, lot.Town, lot.ShopTitle = fmt.Sprint("T", i), nil, ""
	lot.Title += " zzmarked"
	if _, err := pb.NewLotServiceClient(s.conn).CreateLot(b.Context(), &pb.CreateLotRequest{Parent: shop, Lot: lot}); err != nil {
		b.Fatal(err)
	}
	committed := time.Now()
	for {
		event, err := stream.Recv()
		if err != nil {
			b.Fatal(err)
		}
		if event.GetAlert().GetLot().GetTag() == lot.GetTag() {
			return time.Since(committed)
		}
	}
}

func alertCount(b *testing.B, s *served) (n int) {
	for req := (&pb.ListAlertsRequest{PageSize: 1000}); ; {
		got, err := pb.NewAlertServiceClient(s.conn).ListAlerts(b.Context(), req, grpc.MaxCallRecvMsgSize(64<<20))
		if err != nil {
			b.Fatal(err)
		}
		n += len(got.GetAlerts())
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" {
			return n
		}
	}
}

// BenchmarkLodge lodges wanted lists of four wants from many callers at once, over
// gRPC. Each answer means that the list is on disk. How many wants a second the
// matcher then has looked up among the standing lots is told beside it.
func BenchmarkLodge(b *testing.B) {
	s := serveTCP(b, b.TempDir())
	defer s.stop()
	wants := pb.NewWantServiceClient(s.conn)
	var n atomic.Int64
	var last atomic.Uint64
	b.SetParallelism(16 / runtime.GOMAXPROCS(0))
	began := time.Now()
	b.ResetTimer()
	b.RunParallel(func(each *testing.PB) {
		d := standingtest.New(uint64(n.Add(1)))
		for each.Next() {
			list := d.List(fmt.Sprint("list ", n.Add(1)), wantsPerList)
			list.Town = nil
			got, err := wants.CreateWantedList(context.Background(), &pb.CreateWantedListRequest{WantedList: list})
			if err != nil {
				b.Error(err)
				return
			}
			last.Store(max(last.Load(), got.GetChange()))
		}
	})
	b.StopTimer()
	lodged := float64(b.N * wantsPerList)
	b.ReportMetric(lodged/b.Elapsed().Seconds(), "wants/s")
	s.ready(b, last.Load())
	b.ReportMetric(lodged/time.Since(began).Seconds(), "matched/s")
}
