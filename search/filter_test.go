package search

import (
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

// aPress is an offered press in Dayton that says everything.
func aPress() *pb.Lot {
	return &pb.Lot{
		Name: "shops/corwen/lots/a-7", Tag: "A-7", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER,
		Title: "Halvorsen platen jobber", Make: "Halvorsen", Model: "KR15", Description: "Ran wedding cards until last spring.",
		ShopTitle: "Old Mill Printers", State: pb.LotState_LOT_STATE_OFFERED,
		Weight: &pb.Weight{MassKg: proto.Float64(600), Grounds: pb.Grounds_GROUNDS_STATED},
		Price:  &pb.Money{CurrencyCode: "USD", Units: 900},
		Detail: &pb.Lot_Press{Press: &pb.PressDetail{Chase: &pb.Rectangle{WidthMm: 254, HeightMm: 381}}},
		Town:   &pb.Town{Point: &pb.Point{Latitude: 39.7589, Longitude: -84.1916}},
	}
}

// inOhio is the same press, with a town that says where it lies.
func inOhio() *pb.Lot {
	lot := aPress()
	lot.Town.CountryCode, lot.Town.Region = "US", "OH"
	return lot
}

// silent is the same press, saying nothing that a filter may ask.
func silent() *pb.Lot {
	lot := aPress()
	lot.Class, lot.Weight, lot.Price, lot.Detail, lot.Town = 0, nil, nil, nil, nil
	return lot
}

// What each part of a filter means, on a lot that says everything and on one
// that says nothing.
func TestMatches(t *testing.T) {
	toledo := &pb.Point{Latitude: 41.6639, Longitude: -83.5552} // About 220 km away as the crow flies.
	near := func(km float64) *pb.Near { return &pb.Near{Point: toledo, WithinRoadKm: &km} }
	usd := func(units int64, nanos int32) *pb.Money {
		return &pb.Money{CurrencyCode: "USD", Units: units, Nanos: nanos}
	}
	unknown := func(what string) []string { return []string{what} }
	draft := aPress()
	draft.State = pb.LotState_LOT_STATE_DRAFT
	cheaper := aPress()
	cheaper.Price = usd(899, 999_999_999)
	cases := []struct {
		name    string
		lot     *pb.Lot
		filter  *pb.LotFilter
		ok      bool
		unknown []string
	}{
		{"no filter", aPress(), nil, true, nil},
		{"an empty filter", aPress(), &pb.LotFilter{}, true, nil},
		{"no filter on a draft", draft, nil, false, nil},
		{"its state", draft, &pb.LotFilter{States: []pb.LotState{pb.LotState_LOT_STATE_DRAFT}}, true, nil},
		{"every word", aPress(), &pb.LotFilter{Words: "platen halvorsen KR-15 a-7 wedding mill"}, true, nil},
		{"all words but one", aPress(), &pb.LotFilter{Words: "platen Corwen"}, false, nil},
		{"its kind among others", aPress(), &pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_CUTS, pb.Kind_KIND_PRESS}}, true, nil},
		{"another kind", aPress(), &pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_CUTS}}, false, nil},
		{"its class", aPress(), &pb.LotFilter{Classes: []pb.Class{pb.Class_CLASS_PLATEN_JOBBER}}, true, nil},
		{"another class", aPress(), &pb.LotFilter{Classes: []pb.Class{pb.Class_CLASS_HAND_PRESS}}, false, nil},
		{"its shop", aPress(), &pb.LotFilter{Shop: "shops/corwen"}, true, nil},
		{"a shop whose name begins alike", aPress(), &pb.LotFilter{Shop: "shops/cor"}, false, nil},
		{"in its country", inOhio(), &pb.LotFilter{Regions: []string{"GB", "US"}}, true, nil},
		{"in its state", inOhio(), &pb.LotFilter{Regions: []string{"US/OH"}}, true, nil},
		{"in another state", inOhio(), &pb.LotFilter{Regions: []string{"US/IN"}}, false, nil},
		{"in no region", silent(), &pb.LotFilter{Regions: []string{"US"}}, false, nil},
		{"near, however far", silent(), &pb.LotFilter{Near: &pb.Near{Point: toledo}}, true, nil},
		{"within reach", aPress(), &pb.LotFilter{Near: near(300)}, true, nil},
		{"out of reach by road alone", aPress(), &pb.LotFilter{Near: near(225)}, false, nil},
		{"no town to reach", silent(), &pb.LotFilter{Near: near(25_000)}, false, nil},
		{"a reach about nowhere", aPress(), &pb.LotFilter{Near: &pb.Near{Place: "Toledo", WithinRoadKm: proto.Float64(300)}}, false, nil},
		{"a sheet that goes in", aPress(), &pb.LotFilter{Sheet: &pb.Rectangle{WidthMm: 381, HeightMm: 254}}, true, nil},
		{"a sheet too large", aPress(), &pb.LotFilter{Sheet: &pb.Rectangle{WidthMm: 381, HeightMm: 300}}, false, nil},
		{"a sheet on a press of unknown size", silent(), &pb.LotFilter{Sheet: &pb.Rectangle{WidthMm: 381, HeightMm: 254}}, true, unknown("sheet")},
		{"a sheet on what is no press", &pb.Lot{Kind: pb.Kind_KIND_CUTS, State: pb.LotState_LOT_STATE_OFFERED}, &pb.LotFilter{Sheet: &pb.Rectangle{WidthMm: 10, HeightMm: 10}}, false, nil},
		{"light enough", aPress(), &pb.LotFilter{MaxMassKg: proto.Float64(600)}, true, nil},
		{"too heavy", aPress(), &pb.LotFilter{MaxMassKg: proto.Float64(599.9)}, false, nil},
		{"of unknown weight", silent(), &pb.LotFilter{MaxMassKg: proto.Float64(1)}, true, unknown("weight")},
		{"cheap enough", aPress(), &pb.LotFilter{MaxPrice: usd(900, 0)}, true, nil},
		{"too dear", aPress(), &pb.LotFilter{MaxPrice: usd(899, 999_999_999)}, false, nil},
		{"cheap enough to the last cent", cheaper, &pb.LotFilter{MaxPrice: usd(899, 999_999_999)}, true, nil},
		{"too dear by the last cent", cheaper, &pb.LotFilter{MaxPrice: usd(899, 999_999_998)}, false, nil},
		{"without a price", silent(), &pb.LotFilter{MaxPrice: usd(1, 0)}, true, unknown("price")},
		{"in another currency", aPress(), &pb.LotFilter{MaxPrice: &pb.Money{CurrencyCode: "GBP"}}, true, unknown("price")},
		{"all at once, nothing said", silent(), &pb.LotFilter{MaxPrice: usd(1, 0), MaxMassKg: proto.Float64(1), Sheet: &pb.Rectangle{WidthMm: 9, HeightMm: 9}}, true, []string{"weight", "price", "sheet"}},
		{"all at once, only known", aPress(), &pb.LotFilter{KnownOnly: true, MaxPrice: usd(900, 0), MaxMassKg: proto.Float64(900), Sheet: &pb.Rectangle{WidthMm: 9, HeightMm: 9}}, true, nil},
		{"only known, nothing said", silent(), &pb.LotFilter{KnownOnly: true, MaxPrice: usd(1, 0)}, false, nil},
		{"only known, nothing asked", silent(), &pb.LotFilter{KnownOnly: true}, true, nil},
	}
	for _, c := range cases {
		ok, unknown := Matches(c.filter, c.lot)
		if ok != c.ok || !slices.Equal(unknown, c.unknown) {
			t.Errorf("%s: %v, %v, not %v, %v", c.name, ok, unknown, c.ok, c.unknown)
		}
	}
}

// A weight that is only estimated passes where its low end does.
func TestEstimatedWeight(t *testing.T) {
	lot := aPress()
	lot.Weight = &pb.Weight{LowKg: proto.Float64(500), HighKg: proto.Float64(900), Grounds: pb.Grounds_GROUNDS_ESTIMATED}
	for limit, want := range map[float64]bool{499: false, 500: true, 899: true} {
		for _, only := range []bool{false, true} {
			if ok, unknown := Matches(&pb.LotFilter{MaxMassKg: &limit, KnownOnly: only}, lot); ok != want || unknown != nil {
				t.Errorf("500 to 900 kg and at most %v kg: %v, %v", limit, ok, unknown)
			}
		}
	}
}

// Newest goes by the lot's first step, or by its revision where it has none.
func TestPosted(t *testing.T) {
	lot := &pb.Lot{Revision: 9}
	if got := posted(lot); got != 9 {
		t.Errorf("without history: %d", got)
	}
	lot.History = []*pb.LotStep{{Change: 4}, {Change: 7}}
	if got := posted(lot); got != 4 {
		t.Errorf("with history: %d", got)
	}
}
