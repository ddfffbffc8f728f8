package server_test

import (
	"bytes"
	"log/slog"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// TestRequestIDs: a call has the name that its caller gave it, if that can be
// logged, or one of its own; the answer, the error and the log tell it.
func TestRequestIDs(t *testing.T) {
	var log bytes.Buffer
	handler := slog.NewTextHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug})
	r := openWith(t, server.Config{Dir: t.TempDir(), Log: slog.New(server.LogRequests(handler))})
	for _, c := range []struct {
		asked string
		kept  bool
	}{
		{"from-a-caller:1", true}, {"", false}, {"two words", false}, {"a\nb", false}, {strings.Repeat("x", 65), false}, {"a=\"b\"", false},
	} {
		ctx := t.Context()
		if c.asked != "" {
			ctx = metadata.AppendToOutgoingContext(ctx, server.RequestIDHeader, c.asked)
		}
		var header metadata.MD
		_, err := r.shops.GetShop(ctx, &pb.GetShopRequest{Name: "shops/none"}, grpc.Header(&header))
		if strings.Contains(c.asked, "\n") { // gRPC itself does not send it
			continue
		}
		got := requestOf(err)
		if (got == c.asked) != c.kept || len(got) < 10 {
			t.Errorf("asked for %q: named %q", c.asked, got)
		}
		if told := header.Get(server.RequestIDHeader); len(told) != 1 || told[0] != got {
			t.Errorf("the answer's header has %q, the error %q", told, got)
		}
		r.shops.ListShops(ctx, &pb.ListShopsRequest{}, grpc.Header(&header))
		if told := header.Get(server.RequestIDHeader); len(told) != 1 {
			t.Errorf("an answer that is no error has the header %q", told)
		}
		if c.kept && !strings.Contains(log.String(), "request="+got) {
			t.Errorf("the log lacks request=%s:\n%s", got, log.String())
		}
	}
	stream, err := r.alerts.StreamAlerts(metadata.AppendToOutgoingContext(t.Context(), server.RequestIDHeader, "a-stream:1"),
		&pb.StreamAlertsRequest{ResumeToken: "no token"})
	if err == nil {
		_, err = stream.Recv()
	}
	if got := requestOf(err); got != "a-stream:1" {
		t.Errorf("a stream's error is named %q (%v)", got, err)
	}
}

// requestOf is the name of the call that an error is about.
func requestOf(err error) string {
	for _, d := range status.Convert(err).Details() {
		if info, ok := d.(*errdetails.RequestInfo); ok {
			return info.GetRequestId()
		}
	}
	return ""
}
