package server_test

import (
	"bytes"
	"context"
	"net"
	"testing"
	"time"

	"golang.org/x/net/http2"
	"golang.org/x/net/http2/hpack"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// stalls are the ways in which a client can have a connection and be slow with it.
var stalls = map[string]func(*testing.T, net.Addr, somebody){
	"says nothing": func(t *testing.T, to net.Addr, _ somebody) { dialRaw(t, to, nil) },
	"says hello and no more": func(t *testing.T, to net.Addr, _ somebody) {
		dialRaw(t, to, hello(t))
	},
	"asks and never ends": func(t *testing.T, to net.Addr, _ somebody) {
		var asks bytes.Buffer
		asks.Write(hello(t))
		var block bytes.Buffer
		e := hpack.NewEncoder(&block)
		for _, h := range [][2]string{
			{":method", "POST"}, {":scheme", "http"}, {":path", pb.SearchService_SearchLots_FullMethodName}, {":authority", "registry"},
			{"content-type", "application/grpc"}, {"te", "trailers"},
		} {
			if err := e.WriteField(hpack.HeaderField{Name: h[0], Value: h[1]}); err != nil {
				t.Fatal(err)
			}
		}
		f := http2.NewFramer(&asks, nil)
		if err := f.WriteHeaders(http2.HeadersFrameParam{StreamID: 1, BlockFragment: block.Bytes(), EndHeaders: true}); err != nil {
			t.Fatal(err)
		}
		if err := f.WriteData(1, false, []byte{0, 0, 0, 100, 0}); err != nil { // of a message of 25,600 bytes, none
			t.Fatal(err)
		}
		dialRaw(t, to, asks.Bytes())
	},
	"follows and never reads": func(t *testing.T, to net.Addr, by somebody) {
		conn, err := grpc.NewClient(to.String(), grpc.WithTransportCredentials(insecure.NewCredentials()), grpc.WithStaticStreamWindowSize(1<<16))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { conn.Close() })
		ctx := metadata.AppendToOutgoingContext(t.Context(), "authorization", "Bearer "+by.secret)
		stream, err := pb.NewAlertServiceClient(conn).StreamAlerts(ctx, &pb.StreamAlertsRequest{})
		if err == nil {
			_, err = stream.Header()
		}
		if err != nil {
			t.Fatal(err)
		}
	},
}

func dialRaw(t *testing.T, to net.Addr, says []byte) {
	t.Helper()
	conn, err := net.Dial(to.Network(), to.String())
	if err == nil {
		_, err = conn.Write(says)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
}

// hello is how an HTTP/2 client begins.
func hello(t *testing.T) []byte {
	var says bytes.Buffer
	says.WriteString(http2.ClientPreface)
	if err := http2.NewFramer(&says, nil).WriteSettings(); err != nil {
		t.Fatal(err)
	}
	return says.Bytes()
}

// 500 clients that have a connection and stall do not stop one that does not.
func TestStalledClientsDoNotStopAGoodOne(t *testing.T) {
	const each = 125
	w, address := serveAccounts(t, server.Config{Accounts: server.ByInvitation, Limits: server.Limits{PerSecond: 1e6, Burst: 1e6, Streams: each}})
	slow, good := w.invite(t), w.invite(t)
	for name, stall := range stalls {
		for range each {
			stall(t, address, slow)
		}
		t.Log(each, "clients, each of which", name)
	}
	shop := w.shopOf(t, good)
	for range 50 {
		lot, change := w.lotIn(t, good, shop.GetName(), pb.LotState_LOT_STATE_OFFERED)
		got, err := w.search.SearchLots(good.as(t), &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: lot.GetTag()}, AtLeastChange: change})
		if err != nil || got.GetTotalSize() == 0 {
			t.Fatalf("the good client: %v, %v", got, err)
		}
	}
}

// serveAccounts serves a registry with accounts on a port of this machine.
func serveAccounts(t testing.TB, c server.Config) (*world, net.Addr) {
	t.Helper()
	c.Dir = t.TempDir()
	operator := newOperator(t, c.Dir)
	r, err := server.Open(t.Context(), c)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ready, ended := make(chan net.Addr, 1), make(chan error, 1)
	go func() {
		ended <- server.Serve(ctx, r, server.ServeConfig{Listen: "127.0.0.1:0", Grace: time.Second, Ready: func(a net.Addr) { ready <- a }})
	}()
	address := <-ready
	conn, err := grpc.NewClient(address.String(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		conn.Close()
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		if err := r.Close(); err != nil {
			t.Error(err)
		}
	})
	return &world{rig: rigOn(conn), accounts: pb.NewAccountServiceClient(conn), interest: pb.NewInterestServiceClient(conn), operator: operator}, address
}

// rigOn is a rig on a connection.
func rigOn(conn *grpc.ClientConn) *rig {
	return &rig{
		conn: conn, shops: pb.NewShopServiceClient(conn), lots: pb.NewLotServiceClient(conn), search: pb.NewSearchServiceClient(conn),
		wants: pb.NewWantServiceClient(conn), alerts: pb.NewAlertServiceClient(conn), deliveries: pb.NewDeliveryServiceClient(conn), photos: pb.NewPhotoServiceClient(conn),
	}
}
