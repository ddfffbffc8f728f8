package score

import (
	"fmt"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// usualReachKm stands in for the reach of a seeker who will drive any distance:
// 500 miles, a long day's drive. A design choice.
const usualReachKm = 500 * trade.KmPerMile

// nearness is how much of the distance's 100 is left after so many kilometres:
//
//	100 / (1 + 4 (km/reach)²)
//
// Full at the door, 50 at half the reach, 20 at the reach, and on towards 0
// beyond it, strictly falling all the way: a press that is a little too far is
// worse, not impossible. A design choice.
func nearness(km, reachKm float64) float64 {
	r := km / reachKm
	return 100 / (1 + float64(4*r*r))
}

// distance scores the way by road. Its low and high are the road's own. Without
// a road nothing is known: 0 to 100. Points with no road between them score as
// the farthest does: 0.
func distance(list *pb.WantedList, road *place.Road) part {
	reach := list.GetReachRoadKm()
	if !(reach > 0) {
		reach = usualReachKm
	}
	switch {
	case road == nil:
		return part{figures{0, 50, 100}, []string{"how far it is is not known"}}
	case road.None:
		return part{reasons: []string{"there is no way to it by road"}}
	}
	low, high := min(road.LowKm, road.Km), max(road.HighKm, road.Km)
	return part{figures{nearness(high, reach), nearness(road.Km, reach), nearness(low, reach)}, distanceReasons(list, road)}
}

func distanceReasons(list *pb.WantedList, road *place.Road) []string {
	reason := fmt.Sprintf("about %s by road", bothRoads(road.Km))
	if reach := list.GetReachRoadKm(); reach > 0 {
		reason += fmt.Sprintf(", of the %s you will drive", bothRoads(reach))
		if road.Km > reach {
			reason = fmt.Sprintf("about %s by road, beyond the %s you will drive", bothRoads(road.Km), bothRoads(reach))
		}
	}
	return []string{reason}
}

// bothRoads shows a distance in miles and kilometres.
func bothRoads(km float64) string {
	return trade.FormatRoad(km, trade.US) + " (" + trade.FormatRoad(km, trade.Metric) + ")"
}
