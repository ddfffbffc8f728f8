package client

import (
	"context"

	pb "heirpress/proto/heirpress/v1"
)

const listPage = 1000

// pages reads a whole list. ask asks for the page after a token, and returns
// its rows and the next token.
func pages[T any](ask func(token string) ([]T, string, error)) ([]T, error) {
	var all []T
	for token := ""; ; {
		rows, next, err := ask(token)
		if err != nil {
			return nil, err
		}
		all = append(all, rows...)
		if token = next; token == "" {
			return all, nil
		}
	}
}

// AllShops is every shop, in the order they were opened.
func (c *Client) AllShops(ctx context.Context) ([]*pb.Shop, error) {
	return pages(func(token string) ([]*pb.Shop, string, error) {
		got, err := c.Shops.ListShops(ctx, &pb.ListShopsRequest{PageSize: listPage, PageToken: token})
		return got.GetShops(), got.GetNextPageToken(), err
	})
}

// AllLots is every lot of a shop, in the order they were posted.
func (c *Client) AllLots(ctx context.Context, shop string) ([]*pb.Lot, error) {
	return pages(func(token string) ([]*pb.Lot, string, error) {
		got, err := c.Lots.ListLots(ctx, &pb.ListLotsRequest{Parent: shop, PageSize: listPage, PageToken: token})
		return got.GetLots(), got.GetNextPageToken(), err
	})
}

// AllWantedLists is every wanted list, in the order they were lodged.
func (c *Client) AllWantedLists(ctx context.Context) ([]*pb.WantedList, error) {
	return pages(func(token string) ([]*pb.WantedList, string, error) {
		got, err := c.Wants.ListWantedLists(ctx, &pb.ListWantedListsRequest{PageSize: listPage, PageToken: token})
		return got.GetWantedLists(), got.GetNextPageToken(), err
	})
}

// AllAlerts is every alert, oldest first; those that were acknowledged only if
// they are asked for.
func (c *Client) AllAlerts(ctx context.Context, acknowledged bool) ([]*pb.Alert, error) {
	return c.AlertsOf(ctx, "", acknowledged)
}

// AlertsOf is the same of one wanted list, by its resource name; empty: of all.
func (c *Client) AlertsOf(ctx context.Context, list string, acknowledged bool) ([]*pb.Alert, error) {
	return c.alerts(ctx, &pb.ListAlertsRequest{WantedList: list, IncludeAcknowledged: acknowledged})
}

// alerts is every alert that a request asks for, whatever page.
func (c *Client) alerts(ctx context.Context, asked *pb.ListAlertsRequest) ([]*pb.Alert, error) {
	asked.PageSize = listPage
	return pages(func(token string) ([]*pb.Alert, string, error) {
		asked.PageToken = token
		got, err := c.Alerts.ListAlerts(ctx, asked)
		return got.GetAlerts(), got.GetNextPageToken(), err
	})
}
