package server_test

import (
	"context"
	"errors"
	"net"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	reflectionpb "google.golang.org/grpc/reflection/grpc_reflection_v1"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

func TestWhereAServerMayListen(t *testing.T) {
	r, err := server.Open(t.Context(), server.Config{Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	for _, c := range []struct {
		says   string
		config server.ServeConfig
	}{
		{"write it as 127.0.0.1:7427", server.ServeConfig{Listen: "7427"}},
		{"write it as 127.0.0.1:7427", server.ServeConfig{}},
		{"there is no TLS certificate", server.ServeConfig{Listen: "0.0.0.0:0"}},
		{"there is no TLS certificate", server.ServeConfig{Listen: ":0"}},
		{"there is no TLS certificate", server.ServeConfig{Listen: "press.example:7427"}},
		{"no accounts", server.ServeConfig{Listen: "[::]:0", Plaintext: true}},
		{"both a certificate and its key", server.ServeConfig{Listen: "127.0.0.1:0", CertFile: "cert.pem"}},
		{"cannot be used", server.ServeConfig{Listen: "127.0.0.1:0", CertFile: "none.pem", KeyFile: "none.pem"}},
		{"cannot listen on", server.ServeConfig{Listen: "127.0.0.1:99999"}},
	} {
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		err := server.Serve(ctx, r, c.config)
		cancel()
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: got %v, want something about %q", c.config, err, c.says)
		}
	}
}

// serve serves a registry on loopback until the test's end, or until stop.
func serve(t *testing.T, r *server.Registry) (conn *grpc.ClientConn, stop func() error) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	ready, ended := make(chan net.Addr, 1), make(chan error, 1)
	go func() {
		ended <- server.Serve(ctx, r, server.ServeConfig{Listen: "127.0.0.1:0", Ready: func(a net.Addr) { ready <- a }})
	}()
	var address net.Addr
	select {
	case address = <-ready:
	case err := <-ended:
		t.Fatal(err)
	}
	conn, err := grpc.NewClient(address.String(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(); cancel() })
	return conn, func() error {
		cancel()
		return <-ended
	}
}

func TestHealthReflectionAndAnOrderlyStop(t *testing.T) {
	r, err := server.Open(t.Context(), server.Config{Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	conn, stop := serve(t, r)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	healthy, err := healthpb.NewHealthClient(conn).Check(ctx, &healthpb.HealthCheckRequest{})
	if err != nil || healthy.GetStatus() != healthpb.HealthCheckResponse_SERVING {
		t.Errorf("health: %v, %v", healthy, err)
	}
	if got := servicesOf(t, ctx, conn); !strings.Contains(got, "heirpress.v1.SearchService") {
		t.Errorf("reflection lists %s", got)
	}
	stream, err := pb.NewAlertServiceClient(conn).StreamAlerts(ctx, &pb.StreamAlertsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Header(); err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(100*time.Millisecond, func() {
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
	_, err = stream.Recv()
	if status.Code(err) != codes.Unavailable {
		t.Errorf("the stream ended with %v", err)
	}
	if !hasRetry(err) {
		t.Errorf("the stream's end does not say to come back: %v", err)
	}
}

func servicesOf(t *testing.T, ctx context.Context, conn *grpc.ClientConn) string {
	t.Helper()
	stream, err := reflectionpb.NewServerReflectionClient(conn).ServerReflectionInfo(ctx)
	if err != nil {
		t.Fatal(err)
	}
	ask := &reflectionpb.ServerReflectionRequest{MessageRequest: &reflectionpb.ServerReflectionRequest_ListServices{}}
	if err := stream.Send(ask); err != nil {
		t.Fatal(err)
	}
	got, err := stream.Recv()
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, s := range got.GetListServicesResponse().GetService() {
		names = append(names, s.GetName())
	}
	return strings.Join(names, " ")
}

func hasRetry(err error) bool {
	for _, d := range status.Convert(err).Details() {
		if _, ok := d.(*errdetails.RetryInfo); ok {
			return true
		}
	}
	return false
}

// A call after the store is closed is a fault of ours: the caller is told so
// and nothing of the inside.
func TestAFaultTellsNothingOfTheInside(t *testing.T) {
	r, err := server.Open(t.Context(), server.Config{Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	conn, _ := serve(t, r)
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	_, err = pb.NewShopServiceClient(conn).ListShops(t.Context(), &pb.ListShopsRequest{})
	refused(t, err, codes.Internal, server.ReasonInternal)
	if text := status.Convert(err).Message(); strings.Contains(text, "sql") || strings.Contains(text, "closed") {
		t.Errorf("told %q", text)
	}
}

func TestAFolderThatCannotBeMade(t *testing.T) {
	_, err := server.Open(t.Context(), server.Config{Dir: "/dev/null/heirpress"})
	if err == nil || !strings.Contains(err.Error(), "data folder cannot be made") {
		t.Errorf("got %v", err)
	}
	var busy *server.BusyError
	if errors.As(err, &busy) {
		t.Error("a folder that cannot be made is not busy")
	}
}

// A server that is told to stop at once ends as well as any.
func TestAStopBeforeTheStart(t *testing.T) {
	r, err := server.Open(t.Context(), server.Config{Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	for range 20 {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		if err := server.Serve(ctx, r, server.ServeConfig{Listen: "127.0.0.1:0"}); err != nil {
			t.Fatal(err)
		}
	}
}
