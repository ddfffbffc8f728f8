package server

import (
	"cmp"
	"context"
	"errors"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

const (
	streamPage = 100              // alerts held in memory for one stream
	heartbeat  = 30 * time.Second // without an alert, before the token is moved on
	lookAgain  = time.Second      // whether the caller's token is still good
)

type alertService struct {
	pb.UnimplementedAlertServiceServer
	*Registry
}

func (s *alertService) ListAlerts(ctx context.Context, req *pb.ListAlertsRequest) (*pb.ListAlertsResponse, error) {
	asked := &pb.ListAlertsRequest{WantedList: req.GetWantedList(), IncludeAcknowledged: req.GetIncludeAcknowledged()}
	listing, err := s.listing(ctx, store.Alerts, asked, req)
	if err != nil {
		return nil, err
	}
	if err := checkListName(req.GetWantedList()); err != nil {
		return nil, err
	}
	if err := s.waitForMatcher(ctx, req.GetAtLeastChange()); err != nil {
		return nil, err
	}
	listing.OpenOnly = !req.GetIncludeAcknowledged()
	alerts, next, err := pageOf(ctx, s.Registry, access.AnAlert, listing, req.GetWantedList(), readAlert)
	if err != nil {
		return nil, err
	}
	return &pb.ListAlertsResponse{Alerts: alerts, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

func checkListName(name string) error {
	if name != "" && !wantedListName.MatchString(name) {
		return invalid("wanted_list", "is "+name+": write wantedLists/ and the list's id, or leave it empty for all")
	}
	return nil
}

// waitForMatcher returns when every write up to a change number was matched.
func (r *Registry) waitForMatcher(ctx context.Context, change uint64) error {
	if r.config.AlwaysFresh {
		head, err := r.store.Head(ctx)
		if err != nil {
			return err
		}
		change = max(change, head)
	}
	err := r.waitMatched(ctx, change)
	if errors.Is(err, context.DeadlineExceeded) {
		return problem(codes.DeadlineExceeded, ReasonNotReady, "change %d has not been matched yet: try again, or ask for less", change)
	}
	return err
}

func (s *alertService) AcknowledgeAlert(ctx context.Context, req *pb.AcknowledgeAlertRequest) (*pb.AcknowledgeAlertResponse, error) {
	alert, change, err := acknowledge(ctx, s.Registry, access.AnAlert, store.Alerts, req.GetName(), record.Alert,
		func(a *pb.Alert, at *timestamppb.Timestamp) { a.AcknowledgeTime = at })
	fillIn(alert)
	return &pb.AcknowledgeAlertResponse{Alert: alert, Change: change}, err
}

func (s *alertService) StreamAlerts(req *pb.StreamAlertsRequest, stream pb.AlertService_StreamAlertsServer) error {
	ctx := stream.Context()
	if err := checkListName(req.GetWantedList()); err != nil {
		return err
	}
	after, err := s.streamFrom(ctx, req)
	if err != nil {
		return err
	}
	if err := stream.SendHeader(nil); err != nil { // so that a reader knows it is heard before the first alert
		return err
	}
	looked, beaten := time.Now(), time.Now()
	for {
		if time.Since(looked) >= lookAgain {
			if err := s.stillKnown(ctx); err != nil {
				return err
			}
			looked = time.Now()
		}
		if after, err = s.sendSince(stream, req, after); err != nil {
			return err
		}
		more, err := s.waitForMore(ctx, after, lookTime(ctx))
		if err != nil {
			return err
		}
		if !more && time.Since(beaten) >= heartbeat {
			beaten = time.Now()
			beat := &pb.StreamAlertsResponse{ResumeToken: s.tokensOf(ctx).sealNumber(streamOf(req), after)}
			if err := s.send(stream, beat); err != nil {
				return err
			}
		}
	}
}

// lookTime is how long a stream waits for more before it looks around: for a caller
// whose token may come to an end meanwhile, not for long.
func lookTime(ctx context.Context) time.Duration {
	if access.From(ctx).Token == "" {
		return heartbeat
	}
	return lookAgain
}

// streamFrom is the change number after which a stream starts.
func (s *alertService) streamFrom(ctx context.Context, req *pb.StreamAlertsRequest) (uint64, error) {
	if req.GetResumeToken() != "" {
		after, ok := s.tokensOf(ctx).openNumber(streamOf(req), req.GetResumeToken())
		if !ok {
			return 0, invalid("resume_token", "is not a token of this stream: leave it empty to start from the oldest alert not yet acknowledged")
		}
		return after, nil
	}
	head, err := s.store.Head(ctx)
	if err != nil {
		return 0, err
	}
	oldest, _, err := pageOf(ctx, s.Registry, access.AnAlert, store.Listing{Collection: store.Alerts, OpenOnly: true, Limit: 1},
		req.GetWantedList(), func(r store.Record) (uint64, error) { return r.Created, nil })
	if err != nil || len(oldest) == 0 {
		return head, err
	}
	return oldest[0] - 1, nil
}

// streamOf is what a stream's resume tokens are good for.
func streamOf(req *pb.StreamAlertsRequest) proto.Message {
	return &pb.StreamAlertsRequest{WantedList: req.GetWantedList()}
}

// sendSince sends what the journal has after a change number, a page at a
// time, and returns how far it came.
func (s *alertService) sendSince(stream pb.AlertService_StreamAlertsServer, req *pb.StreamAlertsRequest, after uint64) (uint64, error) {
	ctx := stream.Context()
	seen := map[string]bool{}
	for {
		head, err := s.store.Head(ctx)
		if err != nil {
			return after, err
		}
		changes, err := s.store.Changes(ctx, after, streamPage, store.Alerts)
		if err != nil {
			return after, err
		}
		if len(changes) == 0 {
			return max(after, head), nil
		}
		for _, c := range changes {
			after = c.Number
			if err := s.sendOne(stream, req, c, seen); err != nil {
				return after, err
			}
		}
	}
}

// sendOne sends an alert that was made, unless it is another list's, or one that the
// caller does not see, or has been acknowledged since. seen keeps which lists the
// caller sees.
func (s *alertService) sendOne(stream pb.AlertService_StreamAlertsServer, req *pb.StreamAlertsRequest, c store.Change, seen map[string]bool) (err error) {
	if c.Op != store.OpCreate || req.GetWantedList() != "" && c.Record.Parent != req.GetWantedList() {
		return nil
	}
	sees, known := seen[c.Record.Parent]
	if !known {
		if sees, err = s.sees(stream.Context(), s.store, under(access.AnAlert, c.Record)); err != nil {
			return err
		}
		seen[c.Record.Parent] = sees
	}
	if !sees {
		return nil
	}
	r, err := s.store.Get(stream.Context(), c.Record.Name)
	if errors.Is(err, store.ErrNotFound) || err == nil && !r.Open {
		return nil
	}
	if err != nil {
		return err
	}
	a, err := readAlert(r)
	if err != nil {
		return err
	}
	return s.send(stream, &pb.StreamAlertsResponse{Alert: a, ResumeToken: s.tokensOf(stream.Context()).sealNumber(streamOf(req), c.Number)})
}

const usualPatience = 30 * time.Second

// send sends one event. A reader who does not take it for long is told to come
// back: what they hold is bounded by gRPC's window, and what we hold by a page.
func (s *alertService) send(stream pb.AlertService_StreamAlertsServer, event *pb.StreamAlertsResponse) error {
	sent := make(chan error, 1)
	go func() { sent <- stream.Send(event) }() // Ends with the stream, if not before.
	patience := time.NewTimer(cmp.Or(s.config.StreamPatience, usualPatience))
	defer patience.Stop()
	select {
	case err := <-sent:
		return err
	case <-patience.C:
		return tryAgain(ReasonSlowReader, "nothing was read for too long: connect again with the last resume token", time.Second)
	case <-s.draining.Done():
		return shuttingDown()
	}
}
