package server

import (
	"context"
	"regexp"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

type interestService struct {
	pb.UnimplementedInterestServiceServer
	*Registry
}

func (s *interestService) GetInterest(ctx context.Context, req *pb.GetInterestRequest) (*pb.GetInterestResponse, error) {
	if err := s.waitForMatcher(ctx, req.GetAtLeastChange()); err != nil {
		return nil, err
	}
	lot, err := get(ctx, s.store, store.Lots, req.GetName(), record.Lot)
	if err != nil {
		return nil, err
	}
	if err := s.knowsWants(); err != nil {
		return nil, err
	}
	return &pb.GetInterestResponse{Interest: s.matcher.Interest(lot)}, nil
}

func (s *interestService) ListInterest(ctx context.Context, req *pb.ListInterestRequest) (*pb.ListInterestResponse, error) {
	asked := &pb.ListInterestRequest{Parent: req.GetParent()}
	listing, err := s.listing(store.Lots, asked, req)
	if err != nil {
		return nil, err
	}
	if err := s.waitForMatcher(ctx, req.GetAtLeastChange()); err != nil {
		return nil, err
	}
	if _, err := get(ctx, s.store, store.Shops, req.GetParent(), record.Shop); err != nil {
		return nil, err
	}
	listing.Parent = req.GetParent()
	lots, next, err := page(ctx, s.store, listing, record.Lot)
	if err != nil {
		return nil, err
	}
	if err := s.knowsWants(); err != nil {
		return nil, err
	}
	answer := &pb.ListInterestResponse{NextPageToken: s.nextPage(asked, next)}
	for _, lot := range lots {
		if interest := s.matcher.Interest(lot); interest.GetSeekers() > 0 {
			answer.Interests = append(answer.Interests, interest)
		}
	}
	return answer, nil
}

func (s *interestService) ListNotices(ctx context.Context, req *pb.ListNoticesRequest) (*pb.ListNoticesResponse, error) {
	asked := &pb.ListNoticesRequest{Shop: req.GetShop(), IncludeAcknowledged: req.GetIncludeAcknowledged()}
	listing, err := s.listing(store.Notices, asked, req)
	if err != nil {
		return nil, err
	}
	if shop := req.GetShop(); shop != "" && !shopResource.MatchString(shop) {
		return nil, invalid("shop", "is "+shop+": write shops/ and the shop's id, or leave it empty for all")
	}
	if err := s.waitForMatcher(ctx, req.GetAtLeastChange()); err != nil {
		return nil, err
	}
	listing.Parent, listing.AnyParent = req.GetShop(), req.GetShop() == ""
	listing.OpenOnly = !req.GetIncludeAcknowledged()
	notices, next, err := page(ctx, s.store, listing, record.Notice)
	if err != nil {
		return nil, err
	}
	return &pb.ListNoticesResponse{Notices: notices, NextPageToken: s.nextPage(asked, next)}, nil
}

var shopResource = regexp.MustCompile(`^shops/[^/]+$`)

func (s *interestService) AcknowledgeNotice(ctx context.Context, req *pb.AcknowledgeNoticeRequest) (*pb.AcknowledgeNoticeResponse, error) {
	answer := new(pb.AcknowledgeNoticeResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error {
		r, err := recordOf(ctx, tx, store.Notices, req.GetName())
		if err != nil {
			return err
		}
		answer.Notice, answer.Change, err = acknowledgeNotice(ctx, tx, r)
		return err
	})
	return answer, err
}

// acknowledgeNotice closes a notice. One that is closed stays as it is.
func acknowledgeNotice(ctx context.Context, tx store.Tx, r store.Record) (*pb.Notice, uint64, error) {
	n, err := record.Notice(r)
	if err != nil || !r.Open {
		return n, r.Revision, err
	}
	n.AcknowledgeTime = now(tx)
	r.Open = false
	if r.Body, err = record.Body(n); err != nil {
		return nil, 0, err
	}
	r, err = tx.Update(ctx, r)
	return n, r.Revision, err
}
