package client

import (
	"context"
	"fmt"
	"net"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// own opens an embedded registry for a test.
func own(t *testing.T) *Client {
	t.Helper()
	c, err := Connect(t.Context(), Options{Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := c.Close(); err != nil {
			t.Error(err)
		}
	})
	return c
}

// serve serves the registry in a folder, on an address or, if that is empty, on
// any. It returns the address, and a function that stops it in order.
func serve(t *testing.T, dir, address string) (string, func()) {
	t.Helper()
	r, err := server.Open(t.Context(), server.Config{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	if address == "" {
		address = "127.0.0.1:0"
	}
	ctx, cancel := context.WithCancel(context.Background())
	ready, ended := make(chan string, 1), make(chan error, 1)
	go func() {
		ended <- server.Serve(ctx, r, server.ServeConfig{Listen: address, Ready: func(a net.Addr) { ready <- a.String() }})
	}()
	stop := func() {
		if ctx.Err() != nil {
			return
		}
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		if err := r.Close(); err != nil {
			t.Error(err)
		}
	}
	t.Cleanup(stop)
	select {
	case a := <-ready:
		return a, stop
	case err := <-ended:
		t.Fatal(err)
	}
	return "", stop
}

func dayton() *pb.Shop { return &pb.Shop{Title: "A job shop", Place: "Dayton, OH"} }

func woodType(tag string) *pb.Lot {
	return &pb.Lot{Tag: tag, Title: "Gothic wood type, 12 line", Kind: pb.Kind_KIND_WOOD_TYPE}
}

func manyLots(n int) []*pb.Lot {
	lots := make([]*pb.Lot, n)
	for i := range lots {
		lots[i] = woodType(fmt.Sprintf("W%d", i))
	}
	return lots
}

func post(t *testing.T, c *Client, shop *pb.Shop, lots ...*pb.Lot) *PostReport {
	t.Helper()
	report, err := c.Post(t.Context(), shop, lots, nil)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

// same compares messages, for a test that says what it wanted.
func same(t *testing.T, what string, got, want proto.Message) {
	t.Helper()
	if !proto.Equal(got, want) {
		t.Errorf("%s\n got %v\nwant %v", what, got, want)
	}
}
