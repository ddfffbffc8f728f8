package server_test

import (
	"context"
	"fmt"
	"net"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/test/bufconn"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// serveWith serves a registry in a new folder, and returns a connection whose
// streams take no more than 64 KiB ahead of their reader.
func serveWith(t testing.TB, c server.Config) *grpc.ClientConn {
	t.Helper()
	c.Dir = t.TempDir()
	r, err := server.Open(context.Background(), c)
	if err != nil {
		t.Fatal(err)
	}
	pipe := bufconn.Listen(1 << 16)
	s := server.NewGRPC(r)
	go s.Serve(pipe)
	conn, err := grpc.NewClient("passthrough:///test",
		grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithStaticStreamWindowSize(1<<16),
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return pipe.DialContext(ctx) }))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		conn.Close()
		s.Stop()
		if err := r.Close(); err != nil {
			t.Error(err)
		}
	})
	return conn
}

// A reader who takes nothing is told to come back, and then has every alert once:
// those sent before, and the rest with the last token.
func TestASlowReaderIsToldToComeBack(t *testing.T) {
	const lots = 150
	conn := serveWith(t, server.Config{StreamPatience: 50 * time.Millisecond})
	shop, err := pb.NewShopServiceClient(conn).CreateShop(t.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "Marrowby", Place: "Dayton, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := pb.NewWantServiceClient(conn).CreateWantedList(t.Context(), &pb.CreateWantedListRequest{WantedList: wanting("Two Stoats", "platen")}); err != nil {
		t.Fatal(err)
	}
	batch := &pb.BatchCreateLotsRequest{Parent: shop.GetShop().GetName()}
	for i := range lots {
		lot := platen(fmt.Sprint("p", i))
		lot.Description = strings.Repeat("long ", 1500)
		batch.Lots = append(batch.Lots, lot)
	}
	posted, err := pb.NewLotServiceClient(conn).BatchCreateLots(t.Context(), batch)
	if err != nil {
		t.Fatal(err)
	}
	alerts := pb.NewAlertServiceClient(conn)
	if _, err := alerts.ListAlerts(t.Context(), &pb.ListAlertsRequest{AtLeastChange: posted.GetChange(), PageSize: 1}); err != nil {
		t.Fatal(err)
	}
	told := map[string]int{}
	token, times := "", 0
	for len(told) < lots {
		stream, err := alerts.StreamAlerts(t.Context(), &pb.StreamAlertsRequest{ResumeToken: token})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := stream.Header(); err != nil { // The stream has begun, and now nobody reads.
			t.Fatal(err)
		}
		if times == 0 {
			time.Sleep(time.Second)
		}
		for len(told) < lots {
			event, err := stream.Recv()
			if err != nil {
				refused(t, err, codes.Unavailable, server.ReasonSlowReader)
				break
			}
			token = event.GetResumeToken()
			told[event.GetAlert().GetName()]++
		}
		if times++; times == 1 && len(told) == lots {
			t.Fatal("a reader who slept was sent everything: the test shows nothing")
		}
	}
	for name, n := range told {
		if n != 1 || name == "" {
			t.Errorf("%q was told %d times", name, n)
		}
	}
}
