package client

import (
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/score"
)

func fit(shop, lot, want string, points float64) Fitted {
	return Fitted{Ranked: score.Ranked{
		Want: &pb.Want{Id: want}, Lot: &pb.Lot{Name: "shops/" + shop + "/lots/" + lot}, Fit: &pb.Fit{Score: points, Low: points, High: points},
	}}
}

// A shop that meets the whole list goes before one that meets half of it better.
func TestOffersAreHeldAgainstTheWholeList(t *testing.T) {
	list := &pb.WantedList{Wants: []*pb.Want{{Id: "press"}, {Id: "type"}}}
	offers := Offers(list, []Fitted{
		fit("half", "p1", "press", 90), fit("whole", "p1", "press", 60), fit("whole", "p2", "press", 40), fit("whole", "w1", "type", 50),
	})
	if len(offers) != 2 || offers[0].Shop != "shops/whole" || offers[0].Cover.Score != 55 || len(offers[0].Cover.Best) != 2 {
		t.Fatalf("%+v", offers)
	}
	if half := offers[1]; half.Cover.Score != 45 || len(half.Cover.Unmet) != 1 || half.Cover.Unmet[0].GetId() != "type" {
		t.Errorf("%+v", half)
	}
	if none := Offers(list, nil); len(none) != 0 {
		t.Errorf("of nothing: %+v", none)
	}
}
