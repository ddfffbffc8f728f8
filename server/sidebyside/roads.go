package main

import (
	"context"
	"slices"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// SQL knows no roads. What a rival is measured with is straight lines, as good
// as an application without a road map can do: the nearest as the crow flies, and
// all within a somewhat smaller circle. Whether it would have found the same is
// told by its lots, town by town, and our roads to those towns.

// roadChecks is how many searches of a family are checked so: to count all lots by
// town takes its time.
const roadChecks = 20

// byRoad makes of a rival's lots the answer to a search near a place that
// heirpress ought to give: the total, and how far the hits of the page are.
func byRoad(ctx context.Context, r rival, request *pb.SearchLotsRequest, got *answer) (*answer, error) {
	q, err := questionOf(request)
	if err != nil {
		return nil, err
	}
	lots, err := r.spread(ctx, q)
	if err != nil {
		return nil, err
	}
	return roadAnswer(q, request.GetFilter().GetNear().GetWithinRoadKm(), lots, got.facets), nil
}

// roadAnswer adds up the lots of towns that are within reach; 0 is any distance.
func roadAnswer(q *question, withinKm float64, lots map[int]int, facets map[string]int) *answer {
	origin := place.From(*q.from)
	a := &answer{facets: facets}
	for town, many := range lots {
		km := origin.Km(place.SpotOf(townPoints()[town]))
		if withinKm > 0 && km > withinKm {
			continue
		}
		a.total += many
		for range min(many, q.limit) {
			a.km = append(a.km, km)
		}
	}
	slices.Sort(a.km)
	a.km = a.km[:min(len(a.km), q.limit)]
	return a
}
