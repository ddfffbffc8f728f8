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

// FollowAlerts tells of every alert that nobody has acknowledged, and then of
// each as it is made, until ctx is done or told returns an error. It comes back
// by itself when the server goes away for a while.
func FollowAlerts(ctx context.Context, o Options, told func(*pb.Alert) error) error {
	if o.Server == "" {
		return followEmbedded(ctx, o, told)
	}
	c, err := Connect(ctx, o)
	if err != nil {
		return err
	}
	return errors.Join(followServer(ctx, c, told), c.Close())
}

// followServer follows the server's stream, and takes it up again where it
// broke off.
func followServer(ctx context.Context, c *Client, told func(*pb.Alert) error) error {
	token := ""
	for {
		err := followStream(ctx, c, &token, told)
		if Code(err) != codes.Unavailable && !errors.Is(err, io.EOF) {
			return err
		}
		if err := pause(ctx, reconnectIn); err != nil {
			return err
		}
	}
}

func followStream(ctx context.Context, c *Client, token *string, told func(*pb.Alert) error) error {
	stream, err := c.Alerts.StreamAlerts(ctx, &pb.StreamAlertsRequest{ResumeToken: *token})
	if err != nil {
		return err
	}
	for {
		event, err := stream.Recv()
		if err != nil {
			return err
		}
		if event.GetAlert() != nil {
			if err := told(event.GetAlert()); err != nil {
				return err
			}
		}
		*token = event.GetResumeToken()
	}
}

// followEmbedded looks into the user's own registry now and then, and lets go
// of it in between: other commands need it to make what there is to tell.
func followEmbedded(ctx context.Context, o Options, told func(*pb.Alert) error) error {
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
			if err := told(a); err != nil {
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
