package client

import (
	"context"

	pb "heirpress/proto/heirpress/v1"
)

// AllInterest is who looks for the lots of a shop: of those that anybody looks
// for, in the order they were posted.
func (c *Client) AllInterest(ctx context.Context, shop string) ([]*pb.Interest, error) {
	return pages(func(token string) ([]*pb.Interest, string, error) {
		got, err := c.Interest.ListInterest(ctx, &pb.ListInterestRequest{Parent: shop, PageSize: listPage, PageToken: token})
		return got.GetInterests(), got.GetNextPageToken(), err
	})
}

// AllNotices is every notice to keepers, oldest first; those that were
// acknowledged only if they are asked for.
func (c *Client) AllNotices(ctx context.Context, acknowledged bool) ([]*pb.Notice, error) {
	return pages(func(token string) ([]*pb.Notice, string, error) {
		got, err := c.Interest.ListNotices(ctx, &pb.ListNoticesRequest{
			IncludeAcknowledged: acknowledged, PageSize: listPage, PageToken: token,
		})
		return got.GetNotices(), got.GetNextPageToken(), err
	})
}
