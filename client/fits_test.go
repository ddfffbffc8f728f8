package client

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

// recordingSearch keeps what it is asked, and answers with lots of 900 dollars,
// page after page.
type recordingSearch struct {
	asked []*pb.SearchLotsRequest
	pages int
}

func (r *recordingSearch) SearchLots(_ context.Context, req *pb.SearchLotsRequest, _ ...grpc.CallOption) (*pb.SearchLotsResponse, error) {
	r.asked = append(r.asked, proto.CloneOf(req))
	answer := new(pb.SearchLotsResponse)
	for i := range fitPage {
		l := woodType(fmt.Sprintf("%s-%d", req.GetPageToken(), i))
		l.State, l.Price = pb.LotState_LOT_STATE_OFFERED, &pb.Money{CurrencyCode: "USD", Units: 900}
		answer.Hits = append(answer.Hits, &pb.SearchHit{Lot: l})
	}
	if len(r.asked) < r.pages {
		answer.NextPageToken = fmt.Sprint(len(r.asked))
	}
	return answer, nil
}

// The registry is asked the same, whatever a seeker's purse, kit and weights are
// and whatever of the lots they let through.
func TestScoreKeepsToItself(t *testing.T) {
	plain := func() *pb.WantedList {
		return &pb.WantedList{Title: "A seeker", Place: "Dayton, OH", ReachRoadKm: proto.Float64(300), Wants: []*pb.Want{
			{Id: "a", Title: "Wood type", Filter: &pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_WOOD_TYPE}, Words: "gothic"}},
			{Id: "b", Title: "Anything", Filter: &pb.LotFilter{}},
		}}
	}
	private := plain()
	private.Purse = &pb.Money{CurrencyCode: "USD", Units: 50}
	private.Kit = &pb.Kit{People: proto.Int32(2), DollyKg: proto.Float64(500)}
	private.Weights = &pb.FitWeights{Distance: proto.Float64(9)}
	private.Wants[0].Filter.MaxPrice = &pb.Money{CurrencyCode: "USD", Units: 40}
	private.Wants[0].MustHave, private.Wants[0].TextToSet, private.Wants[0].Importance = []string{"fist"}, "LANTERN", 5
	var asked [][]*pb.SearchLotsRequest
	for _, list := range []*pb.WantedList{plain(), private} {
		if err := Locate(list); err != nil {
			t.Fatal(err)
		}
		search := &recordingSearch{pages: 3}
		c := &Client{Search: search}
		if _, err := c.Score(t.Context(), list); err != nil {
			t.Fatal(err)
		}
		asked = append(asked, search.asked)
	}
	if len(asked[0]) != len(asked[1]) {
		t.Fatalf("%d and %d questions", len(asked[0]), len(asked[1]))
	}
	for i := range asked[0] {
		same(t, fmt.Sprintf("question %d", i), asked[1][i], asked[0][i])
	}
	if near := asked[0][0].GetFilter().GetNear(); near.GetPlace() != "Dayton, OH" || near.GetWithinRoadKm() != 300 {
		t.Errorf("asked near %v", near)
	}
}

func TestScoreLooksAtSoManyAndNoMore(t *testing.T) {
	search := &recordingSearch{pages: 100}
	c := &Client{Search: search}
	list := &pb.WantedList{Purse: &pb.Money{CurrencyCode: "USD", Units: 1}, Wants: []*pb.Want{{Id: "a", Filter: &pb.LotFilter{}}}}
	fits, err := c.Score(t.Context(), list)
	if err != nil || len(fits) != 0 || len(search.asked) != mostCandidates/fitPage {
		t.Errorf("%d fits from %d questions, %v", len(fits), len(search.asked), err)
	}
}

// What the purse does not allow is left out here, and what does not say its
// price is not.
func TestScoreHeedsThePurse(t *testing.T) {
	c := own(t)
	dear, cheap, unsaid := woodType("dear"), woodType("cheap"), woodType("unsaid")
	dear.Price = &pb.Money{CurrencyCode: "USD", Units: 900}
	cheap.Price = &pb.Money{CurrencyCode: "USD", Units: 90}
	post(t, c, dayton(), dear, cheap, unsaid)
	list := &pb.WantedList{Title: "A seeker", Place: "Columbus, OH", Purse: &pb.Money{CurrencyCode: "USD", Units: 100},
		Wants: []*pb.Want{{Id: "a", Title: "Wood type", Filter: &pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_WOOD_TYPE}}}}}
	if err := Locate(list); err != nil {
		t.Fatal(err)
	}
	fits, err := c.Score(t.Context(), list)
	if err != nil {
		t.Fatal(err)
	}
	var tags []string
	for _, f := range fits {
		tags = append(tags, f.Lot.GetTag())
		if f.Road == nil || f.Fit.GetScore() <= 0 || f.Want.GetId() != "a" {
			t.Errorf("%s: %+v", f.Lot.GetTag(), f)
		}
	}
	slices.Sort(tags)
	if !slices.Equal(tags, []string{"cheap", "unsaid"}) {
		t.Errorf("scored %v", tags)
	}
}

func TestLocate(t *testing.T) {
	list := &pb.WantedList{Place: "45402"}
	if err := Locate(list); err != nil || list.GetTown().GetLabel() != "Dayton, OH" || list.GetTown().GetPoint().GetLatitude() < 39 {
		t.Errorf("got %v, %v", list.GetTown(), err)
	}
	for _, place := range []string{"", "Springfield", "Xyzzyville", "139,10"} {
		list := &pb.WantedList{Place: place}
		if err := Locate(list); err == nil || list.GetTown() != nil {
			t.Errorf("%q is %v", place, list.GetTown())
		}
	}
}
