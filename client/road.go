package client

import (
	"context"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// roadTime is how long a registry is waited for where an estimate will do.
const roadTime = 4 * time.Second

// Journey is the journey between two towns, by the way that the registry knows:
// that of its operator's routing service, or an estimate. Where the registry
// cannot be asked it is the estimate made here, which is the same.
func (c *Client) Journey(ctx context.Context, from, to place.Town) place.Journey {
	ctx, cancel := context.WithTimeout(ctx, roadTime)
	defer cancel()
	got, err := c.Roads.MeasureRoad(ctx, &pb.MeasureRoadRequest{From: from.Label(), To: to.Label()})
	if err != nil || got.GetBasis() != pb.RoadBasis_ROAD_BASIS_ROUTED {
		return place.JourneyBetween(from, to)
	}
	return place.NewJourney(from, to, place.Road{
		Km: got.GetRoadKm(), LowKm: got.GetRoadKmLow(), HighKm: got.GetRoadKmHigh(), ShipKm: got.GetFerryKm(), Routed: true,
	})
}
