package client

import (
	"context"

	pb "heirpress/proto/heirpress/v1"
)

// AllHistory is every change of a shop or lot, looked up as by Lookup, the latest
// first.
func (c *Client) AllHistory(ctx context.Context, what string) ([]*pb.ListingChange, error) {
	found, err := c.Lookup(ctx, what)
	if err != nil {
		return nil, err
	}
	name := found.Shop.GetName()
	if found.Lot != nil {
		name = found.Lot.GetName()
	}
	return pages(func(token string) ([]*pb.ListingChange, string, error) {
		got, err := c.History.ListHistory(ctx, &pb.ListHistoryRequest{Name: name, PageSize: listPage, PageToken: token})
		return got.GetChanges(), got.GetNextPageToken(), err
	})
}
