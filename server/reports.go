package server

import (
	"context"
	"crypto/rand"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/introduce"
	"heirpress/server/record"
	"heirpress/server/store"
)

func (s *introductionService) BlockIntroduction(ctx context.Context, req *pb.BlockIntroductionRequest) (*pb.BlockIntroductionResponse, error) {
	if err := s.peopleThere(); err != nil {
		return nil, err
	}
	answer := new(pb.BlockIntroductionResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error {
		k, err := s.introductionOf(ctx, tx, req.GetName())
		if err != nil {
			return err
		}
		if err := block(ctx, tx, k, req.GetLift()); err != nil {
			return err
		}
		act := actBlock
		if req.GetLift() {
			act = actLift
		}
		if err := audit(ctx, tx, act, req.GetName()); err != nil {
			return err
		}
		if k, err = s.introductionOf(ctx, tx, req.GetName()); err != nil {
			return err
		}
		if answer.Introduction, err = s.told(ctx, tx, k); err != nil {
			return err
		}
		answer.Change, err = tx.Head(ctx)
		return err
	})
	return answer, err
}

// block makes or lifts a block between the two sides.
func block(ctx context.Context, tx store.Tx, k *pb.KeptIntroduction, lift bool) error {
	b := &pb.KeptBlock{Shop: introduce.ShopOf(k), Account: k.GetAccount(), ByShop: !ownIntroduction(ctx, k), CreateAccount: access.From(ctx).Account}
	if !lift {
		return introduce.Block(ctx, tx, b)
	}
	stands, err := introduce.Blocked(ctx, tx, b.GetShop(), b.GetAccount())
	if err != nil || stands == nil {
		return err
	}
	if stands.GetByShop() != b.GetByShop() {
		return problem(codes.FailedPrecondition, ReasonState, "the other side has made this block, and only they can lift it")
	}
	return introduce.Lift(ctx, tx, b.GetShop(), b.GetAccount())
}

// mostReported is how many reports an account may make in a day.
const mostReported = 20

func (s *introductionService) ReportIntroduction(ctx context.Context, req *pb.ReportIntroductionRequest) (*pb.ReportIntroductionResponse, error) {
	if err := s.peopleThere(); err != nil {
		return nil, err
	}
	c := new(checker)
	c.required("reason", strings.TrimSpace(req.GetReason()), 2_000)
	if err := c.err(); err != nil {
		return nil, err
	}
	answer := new(pb.ReportIntroductionResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error {
		k, err := s.introductionOf(ctx, tx, req.GetName())
		if err != nil {
			return err
		}
		if err := daily(introduce.Daily(ctx, tx, access.From(ctx).Account, "reports", mostReported), "an account makes twenty reports a day"); err != nil {
			return err
		}
		if answer.Change, err = report(ctx, tx, k, strings.TrimSpace(req.GetReason())); err != nil {
			return err
		}
		return audit(ctx, tx, actReport, req.GetName())
	})
	return answer, err
}

func report(ctx context.Context, tx store.Tx, k *pb.KeptIntroduction, reason string) (uint64, error) {
	p := &pb.IntroductionReport{
		Name: "reports/" + strings.ToLower(rand.Text()[:12]), Reporter: access.From(ctx).Account, About: k.GetAccount(),
		Reason: reason, Introduction: k.GetIntroduction(), CreateTime: now(tx),
	}
	if ownIntroduction(ctx, k) {
		p.About = introduce.ShopOf(k)
	}
	r, err := reportRecord(p)
	if err != nil {
		return 0, err
	}
	r, err = tx.Create(ctx, r)
	return r.Revision, err
}

// reportRecord is a report as it is kept: open until it is put away.
func reportRecord(p *pb.IntroductionReport) (store.Record, error) {
	body, err := record.Body(p)
	return store.Record{Name: p.GetName(), Collection: store.Reports, Open: p.GetCloseTime() == nil, Body: body}, err
}

func (s *introductionService) ListReports(ctx context.Context, req *pb.ListReportsRequest) (*pb.ListReportsResponse, error) {
	if err := s.peopleThere(); err != nil {
		return nil, err
	}
	if err := s.mayAct(ctx); err != nil {
		return nil, err
	}
	asked := &pb.ListReportsRequest{IncludeClosed: req.GetIncludeClosed()}
	listing, err := s.listing(ctx, store.Reports, asked, req)
	if err != nil {
		return nil, err
	}
	listing.OpenOnly = !req.GetIncludeClosed()
	reports, next, err := page(ctx, s.store, listing, record.Report)
	if err != nil {
		return nil, err
	}
	return &pb.ListReportsResponse{Reports: reports, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

func (s *introductionService) CloseReport(ctx context.Context, req *pb.CloseReportRequest) (*pb.CloseReportResponse, error) {
	if err := s.peopleThere(); err != nil {
		return nil, err
	}
	if err := s.mayAct(ctx); err != nil {
		return nil, err
	}
	report, change, err := acknowledge(ctx, s.Registry, access.AnyThing, store.Reports, req.GetName(), record.Report,
		func(p *pb.IntroductionReport, at *timestamppb.Timestamp) { p.CloseTime = at })
	return &pb.CloseReportResponse{Report: report, Change: change}, err
}
