package client

import (
	"context"

	pb "heirpress/proto/heirpress/v1"
)

// Load is every lot that is meant by IDs or tags, each once, in the order given.
// A shop stands for all of its lots that are still there to move.
func (c *Client) Load(ctx context.Context, ids []string) ([]*pb.Lot, error) {
	var load []*pb.Lot
	taken := map[string]bool{}
	for _, id := range ids {
		lots, err := c.meant(ctx, id)
		if err != nil {
			return nil, err
		}
		for _, l := range lots {
			if !taken[l.GetName()] {
				taken[l.GetName()] = true
				load = append(load, l)
			}
		}
	}
	return load, nil
}

func (c *Client) meant(ctx context.Context, id string) ([]*pb.Lot, error) {
	found, err := c.Lookup(ctx, id)
	if err != nil || found.Lot != nil {
		return []*pb.Lot{found.Lot}, err
	}
	all, err := c.AllLots(ctx, found.Shop.GetName())
	var there []*pb.Lot
	for _, l := range all {
		if s := l.GetState(); s != pb.LotState_LOT_STATE_REHOMED && s != pb.LotState_LOT_STATE_WITHDRAWN {
			there = append(there, l)
		}
	}
	return there, err
}
