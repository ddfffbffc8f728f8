package server

import (
	"context"
	"regexp"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
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
	if err := s.may(ctx, s.store, theLot(lot)); err != nil {
		return nil, err
	}
	knows, err := s.knows(ctx, req.GetAtLeastChange())
	if err != nil {
		return nil, err
	}
	return &pb.GetInterestResponse{Interest: knows.Interest(lot)}, nil
}

func (s *interestService) ListInterest(ctx context.Context, req *pb.ListInterestRequest) (*pb.ListInterestResponse, error) {
	asked := &pb.ListInterestRequest{Parent: req.GetParent()}
	listing, err := s.listing(ctx, store.Lots, asked, req)
	if err != nil {
		return nil, err
	}
	if err := s.waitForMatcher(ctx, req.GetAtLeastChange()); err != nil {
		return nil, err
	}
	if _, err := get(ctx, s.store, store.Shops, req.GetParent(), record.Shop); err != nil {
		return nil, err
	}
	if err := s.may(ctx, s.store, theShop(ctx, s.store, req.GetParent())); err != nil {
		return nil, err
	}
	listing.Parent = req.GetParent()
	lots, next, err := page(ctx, s.store, listing, record.Lot)
	if err != nil {
		return nil, err
	}
	knows, err := s.knows(ctx, req.GetAtLeastChange())
	if err != nil {
		return nil, err
	}
	answer := &pb.ListInterestResponse{NextPageToken: s.nextPage(ctx, asked, next)}
	for _, lot := range lots {
		if interest := knows.Interest(lot); interest.GetSeekers() > 0 {
			answer.Interests = append(answer.Interests, interest)
		}
	}
	return answer, nil
}

func (s *interestService) ListNotices(ctx context.Context, req *pb.ListNoticesRequest) (*pb.ListNoticesResponse, error) {
	asked := &pb.ListNoticesRequest{Shop: req.GetShop(), IncludeAcknowledged: req.GetIncludeAcknowledged()}
	listing, err := s.listing(ctx, store.Notices, asked, req)
	if err != nil {
		return nil, err
	}
	if shop := req.GetShop(); shop != "" && !shopResource.MatchString(shop) {
		return nil, invalid("shop", "is "+shop+": write shops/ and the shop's id, or leave it empty for all")
	}
	if err := s.waitForMatcher(ctx, req.GetAtLeastChange()); err != nil {
		return nil, err
	}
	listing.OpenOnly = !req.GetIncludeAcknowledged()
	notices, next, err := pageOf(ctx, s.Registry, access.ANotice, listing, req.GetShop(), record.Notice)
	if err != nil {
		return nil, err
	}
	return &pb.ListNoticesResponse{Notices: notices, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

var shopResource = regexp.MustCompile(`^shops/[^/]+$`)

func (s *interestService) AcknowledgeNotice(ctx context.Context, req *pb.AcknowledgeNoticeRequest) (*pb.AcknowledgeNoticeResponse, error) {
	notice, change, err := acknowledge(ctx, s.Registry, access.ANotice, store.Notices, req.GetName(), record.Notice,
		func(n *pb.Notice, at *timestamppb.Timestamp) { n.AcknowledgeTime = at })
	return &pb.AcknowledgeNoticeResponse{Notice: notice, Change: change}, err
}
