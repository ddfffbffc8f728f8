package score

import (
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// Filter is what a want asks of a lot, with what it takes from its list: the
// list's town and reach where the want says no place, and the purse where it
// says no price. The same filter finds lots, raises alerts and picks what is
// scored. The list's town must have been looked up for the place to count.
func Filter(list *pb.WantedList, want *pb.Want) *pb.LotFilter {
	f := proto.CloneOf(want.GetFilter())
	if f == nil {
		f = new(pb.LotFilter)
	}
	if f.GetNear() == nil && list.GetTown() != nil {
		f.Near = &pb.Near{
			Place: list.GetTown().GetLabel(), Point: list.GetTown().GetPoint(), WithinRoadKm: list.ReachRoadKm,
		}
	}
	if f.GetMaxPrice() == nil {
		f.MaxPrice = list.GetPurse()
	}
	return f
}

// Road is the way from a list's town to a lot's, or nil if one is not known.
func Road(list *pb.WantedList, lot *pb.Lot) *place.Road {
	from, to := list.GetTown().GetPoint(), lot.GetTown().GetPoint()
	if from == nil || to == nil {
		return nil
	}
	road := place.RoadKm(pointOf(from), pointOf(to))
	return &road
}

func pointOf(p *pb.Point) place.Point {
	return place.Point{Lat: p.GetLatitude(), Lng: p.GetLongitude()}
}
