package client

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"google.golang.org/protobuf/proto"

	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/testdata/demo"
)

func TestCandidates(t *testing.T) {
	lots := largeShop(t, 73, rand.New(rand.NewPCG(1, 1)))
	lots[0].State = pb.LotState_LOT_STATE_DRAFT
	list := &pb.WantedList{Title: "A list", Place: "Columbus, OH", Wants: []*pb.Want{
		{Id: "press", Title: "A platen", Filter: &pb.LotFilter{Classes: []pb.Class{pb.Class_CLASS_PLATEN_JOBBER}}},
		{Id: "none", Title: "Silver", Filter: &pb.LotFilter{Words: "silver"}},
	}}
	if err := Locate(list); err != nil {
		t.Fatal(err)
	}
	got := Candidates([]*pb.WantedList{list}, lots)
	if len(got) != 3 || got[0].Lot != lots[0] {
		t.Fatalf("%d candidates, want the three jobbers, the draft among them", len(got))
	}
	for _, c := range got {
		if c.Lot.GetClass() != pb.Class_CLASS_PLATEN_JOBBER || c.Want.GetId() != "press" || c.Fit.GetScore() <= 0 || c.Road == nil {
			t.Errorf("%s for %s: %v, %v", c.Lot.GetTag(), c.Want.GetId(), c.Fit, c.Road)
		}
	}
}

// largeShop is the demo's lots over and over, each time with other prices.
func largeShop(t testing.TB, n int, r *rand.Rand) []*pb.Lot {
	file, err := demo.FS.Open("marrowby.yaml")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	s, err := sheet.Read("marrowby.yaml", file)
	if err != nil {
		t.Fatal(err)
	}
	town, err := place.Find("Dayton, OH")
	if err != nil {
		t.Fatal(err)
	}
	var lots []*pb.Lot
	for i := range n {
		l := proto.CloneOf(s.Lots[i%len(s.Lots)].Lot)
		l.Tag = fmt.Sprintf("%s-%d", l.GetTag(), i/len(s.Lots))
		l.Name, l.State, l.Town = "shops/a/lots/"+l.Tag, pb.LotState_LOT_STATE_OFFERED, town.Message()
		l.ClearBy = &pb.Date{Year: 2027, Month: 1, Day: 31}
		if i >= len(s.Lots) && l.GetPrice() != nil {
			l.Price.Units = int64(float64(l.Price.Units) * (0.6 + 0.8*r.Float64()))
		}
		lots = append(lots, l)
	}
	return lots
}

// crowd is seekers all over the map, each with up to six wants.
func crowd(t testing.TB, n int, r *rand.Rand) []*pb.WantedList {
	towns := []string{"Columbus, OH", "Pittsburgh, PA", "Ann Arbor, MI", "Chicago, IL", "Louisville, KY", "Cleveland, OH", "Nashville, TN", "Buffalo, NY", "St. Louis, MO", "Madison, WI"}
	wants := []*pb.LotFilter{
		{Classes: []pb.Class{pb.Class_CLASS_TABLETOP_PLATEN}}, {Classes: []pb.Class{pb.Class_CLASS_PLATEN_JOBBER}},
		{Classes: []pb.Class{pb.Class_CLASS_CYLINDER_PROOF_PRESS}}, {Kinds: []pb.Kind{pb.Kind_KIND_PRESS}},
		{Kinds: []pb.Kind{pb.Kind_KIND_METAL_TYPE}}, {Kinds: []pb.Kind{pb.Kind_KIND_METAL_TYPE}, Words: "roman"}, {Kinds: []pb.Kind{pb.Kind_KIND_METAL_TYPE}, Words: "gothic"},
		{Kinds: []pb.Kind{pb.Kind_KIND_WOOD_TYPE}}, {Kinds: []pb.Kind{pb.Kind_KIND_CUTS, pb.Kind_KIND_ORNAMENTS}},
		{Classes: []pb.Class{pb.Class_CLASS_TYPE_CABINET}}, {Kinds: []pb.Kind{pb.Kind_KIND_CUTTERS}}, {Kinds: []pb.Kind{pb.Kind_KIND_SPACING}},
		{Kinds: []pb.Kind{pb.Kind_KIND_STONES}}, {Kinds: []pb.Kind{pb.Kind_KIND_TOOLS}}, {Kinds: []pb.Kind{pb.Kind_KIND_BINDERY}},
	}
	var lists []*pb.WantedList
	for i := range n {
		list := &pb.WantedList{
			Title: fmt.Sprintf("Seeker %d", i), Place: towns[r.IntN(len(towns))], ReachRoadKm: proto.Float64(300 + 900*r.Float64()),
			Purse: &pb.Money{CurrencyCode: "USD", Units: 200 + r.Int64N(4000)},
			Kit:   &pb.Kit{People: proto.Int32(1 + r.Int32N(4)), VehiclePayloadKg: proto.Float64(300 + 2000*r.Float64())},
		}
		for k := range 1 + r.IntN(6) {
			list.Wants = append(list.Wants, &pb.Want{Id: fmt.Sprintf("w%d", k), Title: "A want", Filter: wants[r.IntN(len(wants))]})
		}
		if err := Locate(list); err != nil {
			t.Fatal(err)
		}
		lists = append(lists, list)
	}
	return lists
}
