package client

import (
	"context"
	"errors"
	"io"
	"time"

	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

const (
	lookEvery   = 2 * time.Second // at an embedded registry
	reconnectIn = time.Second     // after a server has gone away
)

// Watch is who follows alerts.
type Watch struct {
	// Told is called with every alert, once each. Its error ends the watch.
	Told func(*pb.Alert) error
	// Away is called when a server that was followed has gone away; it is waited
	// for. It may be nil.
	Away func(error)
}

// FollowAlerts tells of every alert that nobody has acknowledged, and then of
// each as it is made, until ctx is done or Told returns an error. A server that
// cannot be reached to begin with is an error; one that goes away later is
// waited for, and followed on from where it broke off.
func FollowAlerts(ctx context.Context, o Options, w Watch) error {
	if o.Server == "" {
		return followEmbedded(ctx, o, w)
	}
	c, err := Connect(ctx, o)
	if err != nil {
		return err
	}
	return errors.Join(c.followServer(ctx, w), c.Close())
}

func (c *Client) followServer(ctx context.Context, w Watch) error {
	if _, err := c.Alerts.ListAlerts(ctx, &pb.ListAlertsRequest{PageSize: 1}); err != nil {
		return err
	}
	f := follower{Watch: w, client: c}
	for {
		err := f.stream(ctx)
		if Code(err) != codes.Unavailable && !errors.Is(err, io.EOF) {
			return err
		}
		f.lost(err)
		if err := pause(ctx, reconnectIn); err != nil {
			return err
		}
	}
}

// A follower keeps its place in a server's alerts.
type follower struct {
	Watch
	client *Client
	token  string // resumes after the last event
	away   bool   // Away was called, and nothing has come since
}

func (f *follower) stream(ctx context.Context) error {
	stream, err := f.client.Alerts.StreamAlerts(ctx, &pb.StreamAlertsRequest{ResumeToken: f.token})
	if err != nil {
		return err
	}
	for {
		event, err := stream.Recv()
		if err != nil {
			return err
		}
		f.away = false
		if event.GetAlert() != nil {
			if err := f.Told(event.GetAlert()); err != nil {
				return err
			}
		}
		f.token = event.GetResumeToken()
	}
}

func (f *follower) lost(err error) {
	if f.Away != nil && !f.away {
		f.Away(err)
	}
	f.away = true
}

// followEmbedded looks into the user's own registry now and then, and lets go
// of it in between: other commands need it to make what there is to tell.
func followEmbedded(ctx context.Context, o Options, w Watch) error {
	seen := map[string]bool{}
	for {
		alerts, err := look(ctx, o)
		var busy *server.BusyError
		if err != nil && !errors.As(err, &busy) {
			return err
		}
		for _, a := range alerts {
			if seen[a.GetName()] {
				continue
			}
			seen[a.GetName()] = true
			if err := w.Told(a); err != nil {
				return err
			}
		}
		if err := pause(ctx, lookEvery); err != nil {
			return err
		}
	}
}

func look(ctx context.Context, o Options) ([]*pb.Alert, error) {
	c, err := Connect(ctx, o)
	if err != nil {
		return nil, err
	}
	alerts, err := c.AllAlerts(ctx, false)
	return alerts, errors.Join(err, c.Close())
}

func pause(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}
