package score

import (
	"slices"
	"testing"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"
)

func hit(want, lot string, importance int32, low, score, high float64) Ranked {
	return Ranked{Want: &pb.Want{Id: want, Importance: importance}, Lot: &pb.Lot{Name: lot}, Fit: &pb.Fit{Low: low, Score: score, High: high}}
}

func itself(r Ranked) Ranked { return r }

func TestSort(t *testing.T) {
	want := []Ranked{
		hit("w", "shops/b/lots/1", 5, 0, 10, 10), hit("b", "shops/a/lots/1", 0, 0, 90, 90), hit("c", "shops/a/lots/2", 3, 0, 80, 80),
		hit("a", "shops/a/lots/3", 3, 0, 80, 80), hit("b", "shops/a/lots/3", 3, 0, 80, 80), hit("z", "shops/a/lots/1", 1, 0, 99, 99),
	}
	rapid.Check(t, func(t *rapid.T) {
		got := rapid.Permutation(want).Draw(t, "order")
		Sort(got, itself)
		if !slices.EqualFunc(got, want, func(a, b Ranked) bool { return a.Want == b.Want && a.Lot == b.Lot }) {
			t.Fatalf("in the order %v", got)
		}
	})
}

func TestCovers(t *testing.T) {
	list := &pb.WantedList{Wants: []*pb.Want{{Id: "press", Importance: 5}, {Id: "type"}, {Id: "cutter", Importance: 2}}}
	hits := []Ranked{
		hit("press", "shops/a/lots/1", 5, 20, 60, 70), hit("press", "shops/a/lots/2", 5, 30, 50, 90),
		hit("type", "shops/a/lots/3", 0, 80, 80, 80), hit("other", "shops/a/lots/3", 0, 100, 100, 100),
	}
	c := Covers(list, hits)
	if c.Score != (5*60.+3*80)/10 || c.Low != (5*30.+3*80)/10 || c.High != (5*90.+3*80)/10 {
		t.Errorf("covered to %v, %v, %v", c.Low, c.Score, c.High)
	}
	if len(c.Best) != 2 || c.Best[0].Lot.GetName() != "shops/a/lots/1" || len(c.Unmet) != 1 || c.Unmet[0].GetId() != "cutter" {
		t.Errorf("the best are %v, unmet %v", c.Best, c.Unmet)
	}
	if c := Covers(&pb.WantedList{}, hits); c.Score != 0 || c.High != 0 {
		t.Errorf("an empty list is covered to %v", c)
	}
}

func TestFilter(t *testing.T) {
	town := &pb.Town{Label: "Dayton, OH", Point: &pb.Point{Latitude: 39.76, Longitude: -84.19}}
	list := &pb.WantedList{Town: town, ReachRoadKm: proto.Float64(300), Purse: &pb.Money{CurrencyCode: "USD", Units: 900}}
	f := Filter(list, &pb.Want{Filter: &pb.LotFilter{Words: "platen"}})
	if f.GetWords() != "platen" || f.GetNear().GetPlace() != "Dayton, OH" || f.GetNear().GetWithinRoadKm() != 300 || f.GetMaxPrice().GetUnits() != 900 {
		t.Errorf("the list's place, reach and purse are not taken: %v", f)
	}
	own := &pb.LotFilter{Near: &pb.Near{Place: "Leeds, England"}, MaxPrice: &pb.Money{CurrencyCode: "GBP", Units: 5}}
	if f := Filter(list, &pb.Want{Filter: own}); !proto.Equal(f, own) {
		t.Errorf("the want's own place and price are not kept: %v", f)
	}
	if f := Filter(nil, nil); !proto.Equal(f, &pb.LotFilter{}) {
		t.Errorf("of nothing comes %v", f)
	}
}

func TestRoad(t *testing.T) {
	at := func(lat, lng float64) *pb.Town { return &pb.Town{Point: &pb.Point{Latitude: lat, Longitude: lng}} }
	// Dayton to Columbus, OH, is about 71 miles by road.
	road := Road(&pb.WantedList{Town: at(39.759, -84.192)}, &pb.Lot{Town: at(39.961, -82.999)})
	if road == nil || road.Km < 100 || road.Km > 135 || road.LowKm > road.Km || road.HighKm < road.Km {
		t.Errorf("the road is %v", road)
	}
	if Road(&pb.WantedList{Town: at(1, 1)}, &pb.Lot{}) != nil || Road(nil, &pb.Lot{Town: at(1, 1)}) != nil {
		t.Error("there is a road to nowhere")
	}
}
