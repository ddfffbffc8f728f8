package server

import (
	"context"
	"errors"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/server/routing"
)

type roadService struct {
	pb.UnimplementedRoadServiceServer
	*Registry
}

func (s *roadService) MeasureRoad(ctx context.Context, req *pb.MeasureRoadRequest) (*pb.MeasureRoadResponse, error) {
	var c checker
	answer := &pb.MeasureRoadResponse{From: c.town("from", req.GetFrom()), To: c.town("to", req.GetTo())}
	if err := c.err(); err != nil {
		return nil, err
	}
	from, to := place.TownOf(answer.GetFrom()).Point, place.TownOf(answer.GetTo()).Point
	answer.StraightKm = place.GreatCircleKm(from, to)
	answer.Basis = pb.RoadBasis_ROAD_BASIS_ESTIMATED
	road := place.RoadKm(from, to)
	if road.None {
		return answer, nil // It is surer of that than a service that sets out from the nearest road.
	}
	answer.FerryKm = road.ShipKm
	answer.RoadKm, answer.RoadKmLow, answer.RoadKmHigh = &road.Km, &road.LowKm, &road.HighKm
	if km, ok := s.routed(ctx, from, to); ok {
		answer.Basis = pb.RoadBasis_ROAD_BASIS_ROUTED
		answer.RoadKm, answer.RoadKmLow, answer.RoadKmHigh = &km, &km, &km
	}
	return answer, nil
}

// routed asks the operator's routing service, if there is one.
func (r *Registry) routed(ctx context.Context, from, to place.Point) (km float64, ok bool) {
	if r.config.Routing == nil || from == to {
		return 0, false
	}
	km, err := r.config.Routing.Km(ctx, from, to)
	switch {
	case err == nil:
		return km, true
	case !errors.Is(err, routing.ErrResting) && ctx.Err() == nil:
		r.log.Warn("the routing service is of no help: the way is estimated", "error", err)
	}
	return 0, false
}
