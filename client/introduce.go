package client

import (
	"context"
	"crypto/rand"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// IntroductionName is the resource name of an introduction, from its ID or name.
func IntroductionName(id string) string { return "introductions/" + IntroductionID(id) }

// IntroductionID is the ID of an introduction, from its ID or name.
func IntroductionID(name string) string { return strings.TrimPrefix(name, "introductions/") }

// ReportName is the resource name of a report, from its ID or name.
func ReportName(id string) string { return "reports/" + strings.TrimPrefix(id, "reports/") }

// Introduce asks for a lot, looked up as by Lookup.
func (c *Client) Introduce(ctx context.Context, what, note, purpose string) (*pb.Introduction, error) {
	found, err := c.Lookup(ctx, what)
	if err != nil {
		return nil, err
	}
	if found.Lot == nil {
		return nil, &NotFoundError{What: what}
	}
	got, err := c.Introductions.CreateIntroduction(ctx, &pb.CreateIntroductionRequest{
		Introduction: &pb.Introduction{Lot: found.Lot.GetName(), Note: note, Purpose: purpose}, RequestId: rand.Text(),
	})
	return got.GetIntroduction(), err
}

// EveryShop stands for all shops that the caller keeps or speaks for.
const EveryShop = "-"

// AllIntroductions is every introduction to a shop, or, without one, that the caller
// has asked for; those that were answered for good only if they are asked for.
func (c *Client) AllIntroductions(ctx context.Context, shop string, answered bool) ([]*pb.Introduction, error) {
	if shop != "" {
		shop = ShopName(shop)
	}
	return pages(func(token string) ([]*pb.Introduction, string, error) {
		got, err := c.Introductions.ListIntroductions(ctx, &pb.ListIntroductionsRequest{
			Shop: shop, IncludeAnswered: answered, PageSize: listPage, PageToken: token,
		})
		return got.GetIntroductions(), got.GetNextPageToken(), err
	})
}

// AllReports is every report to the operator; those that were put away only if they
// are asked for.
func (c *Client) AllReports(ctx context.Context, closed bool) ([]*pb.IntroductionReport, error) {
	return pages(func(token string) ([]*pb.IntroductionReport, string, error) {
		got, err := c.Introductions.ListReports(ctx, &pb.ListReportsRequest{IncludeClosed: closed, PageSize: listPage, PageToken: token})
		return got.GetReports(), got.GetNextPageToken(), err
	})
}
