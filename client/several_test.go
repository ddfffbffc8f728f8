package client

import (
	"context"
	"net"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"

	pb "heirpress/proto/heirpress/v1"
)

// counting is a server that counts the searches it is asked for.
type counting struct {
	pb.UnimplementedSearchServiceServer
	address string
	server  *grpc.Server
	health  *health.Server
	asked   atomic.Int64
}

func (c *counting) SearchLots(context.Context, *pb.SearchLotsRequest) (*pb.SearchLotsResponse, error) {
	c.asked.Add(1)
	return &pb.SearchLotsResponse{}, nil
}

func newCounting(t *testing.T) *counting {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	c := &counting{address: listener.Addr().String(), server: grpc.NewServer(), health: health.NewServer()}
	pb.RegisterSearchServiceServer(c.server, c)
	healthpb.RegisterHealthServer(c.server, c.health)
	go c.server.Serve(listener) //nolint:errcheck // ends with Stop
	t.Cleanup(c.server.Stop)
	return c
}

// ask searches until want says that it is enough.
func ask(t *testing.T, c *Client, want func() bool) {
	t.Helper()
	for until := time.Now().Add(30 * time.Second); !want(); {
		if _, err := c.Search.SearchLots(t.Context(), &pb.SearchLotsRequest{}); err != nil {
			t.Fatal(err)
		}
		if time.Now().After(until) {
			t.Fatal("calls do not go where they should")
		}
	}
}

// TestSeveral: calls go round to all servers that are ready, pass over one that
// says it is not, and one that is gone, and none of them fails.
func TestSeveral(t *testing.T) {
	a, b, c := newCounting(t), newCounting(t), newCounting(t)
	all := strings.Join([]string{a.address, b.address, c.address}, ", ")
	client, err := Connect(t.Context(), Options{Server: all})
	if err != nil {
		t.Fatal(err)
	}
	defer client.Close()
	ask(t, client, func() bool { return a.asked.Load() > 5 && b.asked.Load() > 5 && c.asked.Load() > 5 })

	b.health.SetServingStatus("", healthpb.HealthCheckResponse_NOT_SERVING)
	still := func() bool { // until 50 calls in a row have passed b over
		before := b.asked.Load()
		for range 50 {
			if _, err := client.Search.SearchLots(t.Context(), &pb.SearchLotsRequest{}); err != nil {
				t.Fatal(err)
			}
		}
		return b.asked.Load() == before
	}
	ask(t, client, still)
	c.server.Stop()
	before := a.asked.Load()
	ask(t, client, func() bool { return a.asked.Load() > before+20 })
	b.health.SetServingStatus("", healthpb.HealthCheckResponse_SERVING)
	again := b.asked.Load()
	ask(t, client, func() bool { return b.asked.Load() > again+5 })

	a.server.Stop()
	b.server.Stop()
	if _, err := client.Search.SearchLots(t.Context(), &pb.SearchLotsRequest{}); Code(err) != codes.Unavailable {
		t.Errorf("with all gone: %v, want UNAVAILABLE", err)
	}
}

func TestServers(t *testing.T) {
	for asked, want := range map[string]string{
		"a:1": "a:1", "b:2,a:1": "a:1,b:2", " a:1 , b:2": "a:1,b:2", "a:1,a:1": "a:1", "nonsense": "nonsense",
	} {
		if got := Servers(asked); got != want {
			t.Errorf("%q are known as %q, want %q", asked, got, want)
		}
	}
}
