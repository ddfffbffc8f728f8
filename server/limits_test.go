package server_test

import (
	"context"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// Each account, and each address without one, has a limit of its own, and is told
// when to ask again; what it costs is what it reads.
func TestWhoAsksTooMuchIsToldWhen(t *testing.T) {
	w := openAccountsWith(t, server.Config{Accounts: server.ByInvitation, Limits: server.Limits{PerSecond: 0.01, Burst: 20}})
	ann, ben := w.invite(t), w.invite(t)
	ask := func(by somebody, size int32) error {
		_, err := w.shops.ListShops(by.as(t), &pb.ListShopsRequest{PageSize: size})
		return err
	}
	calls := func(by somebody, size int32) (n int, err error) {
		for ; n < 100; n++ {
			if err = ask(by, size); err != nil {
				return n, err
			}
		}
		return n, nil
	}
	for _, c := range []struct {
		by   somebody
		size int32
		most int
	}{{ann, 1, 20}, {ben, 1000, 1}, {somebody{}, 200, 6}} { // nobody has opened two accounts already
		n, err := calls(c.by, c.size)
		refused(t, err, codes.ResourceExhausted, server.ReasonTooManyCalls)
		if n != c.most || !(retryAfter(err) > 0) {
			t.Errorf("%d calls of %d, then %v", n, c.most, err)
		}
	}
	if err := ask(w.operator, 1); err != nil {
		t.Errorf("somebody else: %v", err)
	}
}

func retryAfter(err error) time.Duration {
	for _, d := range status.Convert(err).Details() {
		if info, ok := d.(*errdetails.RetryInfo); ok {
			return info.GetRetryDelay().AsDuration()
		}
	}
	return 0
}

func TestWhoHasTooManyStreams(t *testing.T) {
	w := openAccountsWith(t, server.Config{Accounts: server.ByInvitation, Limits: server.Limits{Streams: 2}})
	ann, ben := w.invite(t), w.invite(t)
	open := func(ctx context.Context) error {
		stream, err := w.alerts.StreamAlerts(ctx, &pb.StreamAlertsRequest{})
		if err == nil {
			_, err = stream.Header()
		}
		if err == nil && ctx.Err() == nil {
			return nil
		}
		_, err = stream.Recv()
		return err
	}
	first, end := context.WithCancel(ann.as(t))
	for _, ctx := range []context.Context{first, ann.as(t), ben.as(t)} {
		if err := open(ctx); err != nil {
			t.Fatal(err)
		}
	}
	third, err := w.alerts.StreamAlerts(ann.as(t), &pb.StreamAlertsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = third.Recv()
	refused(t, err, codes.ResourceExhausted, server.ReasonTooManyStreams)
	end()
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		stream, err := w.alerts.StreamAlerts(ann.as(t), &pb.StreamAlertsRequest{})
		if err != nil {
			t.Fatal(err)
		}
		if header, err := stream.Header(); err == nil && header != nil { // it has begun
			return
		}
		if time.Now().After(deadline) {
			t.Fatal("one that was left is not forgotten")
		}
	}
}
