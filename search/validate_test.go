package search

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

func number(n float64) *float64 { return &n }

func TestValidate(t *testing.T) {
	dayton := &pb.Point{Latitude: 39.76, Longitude: -84.19}
	usd := func(units int64, nanos int32) *pb.Money {
		return &pb.Money{CurrencyCode: "USD", Units: units, Nanos: nanos}
	}
	cases := []struct {
		name   string
		filter *pb.LotFilter
		fields []string
	}{
		{"none", nil, nil},
		{"empty", &pb.LotFilter{}, nil},
		{"64 words", &pb.LotFilter{Words: strings.Repeat("platen ", 64)}, nil},
		{"65 words", &pb.LotFilter{Words: strings.Repeat("platen ", 65)}, []string{"words"}},
		{"1,000 characters", &pb.LotFilter{Words: strings.Repeat("é", 1000)}, nil},
		{"1,001 characters", &pb.LotFilter{Words: strings.Repeat("é", 1001)}, []string{"words"}},
		{"only signs", &pb.LotFilter{Words: "?!"}, []string{"words"}},
		{"only idle words", &pb.LotFilter{Words: "of the"}, []string{"words"}},
		{"blanks", &pb.LotFilter{Words: "  "}, nil},
		{"20 kinds", &pb.LotFilter{Kinds: slices.Repeat([]pb.Kind{1}, 20)}, nil},
		{"21 kinds", &pb.LotFilter{Kinds: slices.Repeat([]pb.Kind{1}, 21)}, []string{"kinds"}},
		{"no such kind", &pb.LotFilter{Kinds: []pb.Kind{1, 99, 0}}, []string{"kinds[1]", "kinds[2]"}},
		{"51 classes", &pb.LotFilter{Classes: slices.Repeat([]pb.Class{1}, 51)}, []string{"classes"}},
		{"no such class", &pb.LotFilter{Classes: []pb.Class{29}}, []string{"classes[0]"}},
		{"no such state", &pb.LotFilter{States: []pb.LotState{7}}, []string{"states[0]"}},
		{"regions", &pb.LotFilter{Regions: []string{"GB", "US/OH", "GB/Isle of Man"}}, nil},
		{"no such region", &pb.LotFilter{Regions: []string{"US", "Ohio", "US/", "us/OH"}}, []string{"regions[1]", "regions[2]", "regions[3]"}},
		{"21 regions", &pb.LotFilter{Regions: slices.Repeat([]string{"US"}, 21)}, []string{"regions"}},
		{"nowhere", &pb.LotFilter{Near: &pb.Near{}}, []string{"near"}},
		{"a place", &pb.LotFilter{Near: &pb.Near{Place: "Dayton, OH"}}, nil},
		{"off the globe", &pb.LotFilter{Near: &pb.Near{Point: &pb.Point{Latitude: 91}}}, []string{"near.point"}},
		{"not a number", &pb.LotFilter{Near: &pb.Near{Point: &pb.Point{Latitude: math.NaN()}}}, []string{"near.point"}},
		{"the whole Earth", &pb.LotFilter{Near: &pb.Near{Point: dayton, WithinRoadKm: number(25_000)}}, nil},
		{"beyond the Earth", &pb.LotFilter{Near: &pb.Near{Point: dayton, WithinRoadKm: number(25_001)}}, []string{"near.within_road_km"}},
		{"no reach", &pb.LotFilter{Near: &pb.Near{Point: dayton, WithinRoadKm: number(0)}}, []string{"near.within_road_km"}},
		{"no sheet", &pb.LotFilter{Sheet: &pb.Rectangle{}}, []string{"sheet.width_mm", "sheet.height_mm"}},
		{"a field of a sheet", &pb.LotFilter{Sheet: &pb.Rectangle{WidthMm: 10_001, HeightMm: math.Inf(1)}}, []string{"sheet.width_mm", "sheet.height_mm"}},
		{"no weight", &pb.LotFilter{MaxMassKg: number(0)}, []string{"max_mass_kg"}},
		{"boundless weight", &pb.LotFilter{MaxMassKg: number(math.Inf(1))}, []string{"max_mass_kg"}},
		{"free", &pb.LotFilter{MaxPrice: usd(0, 0)}, nil},
		{"no currency", &pb.LotFilter{MaxPrice: &pb.Money{Units: 1}}, []string{"max_price.currency_code"}},
		{"below nothing", &pb.LotFilter{MaxPrice: usd(-1, -1)}, []string{"max_price.units", "max_price.nanos"}},
		{"too many nanos", &pb.LotFilter{MaxPrice: usd(1, 1_000_000_000)}, []string{"max_price.nanos"}},
		{"a shop", &pb.LotFilter{Shop: "shops/corwen"}, nil},
		{"not a shop", &pb.LotFilter{Shop: "shops/corwen/lots/a-7"}, []string{"shop"}},
		{"several at once", &pb.LotFilter{Words: "?", MaxMassKg: number(-1)}, []string{"words", "max_mass_kg"}},
	}
	for _, c := range cases {
		var fields []string
		for _, v := range Validate(c.filter) {
			fields = append(fields, v.Field)
			if v.Description == "" {
				t.Errorf("%s: %s has no description", c.name, v.Field)
			}
		}
		if !slices.Equal(fields, c.fields) {
			t.Errorf("%s: violations of %v, not %v", c.name, fields, c.fields)
		}
	}
}

// A query that cannot be answered says why, field by field.
func TestQueriesThatCannotBeAnswered(t *testing.T) {
	x := openIndex(t, t.TempDir())
	place := &pb.LotFilter{Near: &pb.Near{Place: "Dayton, OH"}}
	cases := []struct {
		query Query
		field string
	}{
		{Query{Limit: -1}, "limit"},
		{Query{Order: pb.LotOrder_LOT_ORDER_NEAREST}, "near"},
		{Query{Order: 9}, "order"},
		{Query{Filter: place}, "near.point"},
		{Query{Filter: &pb.LotFilter{Words: "?"}}, "words"},
		{Query{After: &Position{ranking: byScore}}, "after"},
	}
	for _, c := range cases {
		_, err := x.Search(context.Background(), c.query)
		var invalid *InvalidError
		if !errors.As(err, &invalid) || len(invalid.Violations) != 1 || invalid.Violations[0].Field != c.field {
			t.Errorf("%v: %v, not a violation of %s", c.query, err, c.field)
		} else if !strings.Contains(err.Error(), c.field+": ") {
			t.Errorf("%q does not name the field %s", err, c.field)
		}
	}
}

func TestSearchStopsWithItsContext(t *testing.T) {
	x := openIndex(t, t.TempDir())
	stir(t, newDice(1), x, newTruth(), 0)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := x.Search(ctx, Query{Limit: 1}); !errors.Is(err, context.Canceled) {
		t.Errorf("search: %v", err)
	}
	if err := x.Apply(ctx, 1000, nil, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("apply: %v", err)
	}
	if err := x.now.health(); err != nil {
		t.Errorf("a search that was stopped was taken for damage: %v", err)
	}
}
