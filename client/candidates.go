package client

import (
	"google.golang.org/protobuf/proto"

	"heirpress/client/rehome"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
	"heirpress/search/score"
)

// Candidates is every lot that meets a want of a list, with its fit. Lots that
// are not offered yet count as if they were, for a keeper plans before that.
func Candidates(lists []*pb.WantedList, lots []*pb.Lot) []rehome.Candidate {
	facts := make([]*search.Facts, len(lots))
	for i, l := range lots {
		asOffered := proto.CloneOf(l)
		asOffered.State = pb.LotState_LOT_STATE_OFFERED
		facts[i] = search.Read(asOffered)
	}
	var all []rehome.Candidate
	for _, list := range lists {
		roads := make([]*place.Road, len(lots))
		for i, l := range lots {
			roads[i] = score.Road(list, l)
		}
		for _, w := range list.GetWants() {
			filter := search.Compile(score.Filter(list, w))
			for i, l := range lots {
				if ok, _ := filter.Admits(facts[i]); ok {
					all = append(all, rehome.Candidate{List: list, Want: w, Lot: l, Road: roads[i], Fit: score.Unasked(list, w, l, roads[i])})
				}
			}
		}
	}
	return all
}
