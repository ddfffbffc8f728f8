package search

import (
	"context"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

// Whatever is told to find more does find so many more, and asks less.
func TestRelaxedFindsMore(t *testing.T) {
	d, x, all := newDice(31), openIndex(t, t.TempDir()), newTruth()
	stir(t, d, x, all, 0)
	for range 60 {
		f := d.filter()
		told, err := x.Relax(context.Background(), f)
		if err != nil {
			t.Fatal(err)
		}
		before := all.search(f, 0)
		if len(told) > mostRelaxed {
			t.Fatalf("%v: %d told", f, len(told))
		}
		for _, r := range told {
			after := all.search(r.Filter, 0)
			if r.More < 1 || len(after)-len(before) != r.More || r.Description == "" || proto.Equal(r.Filter, f) {
				t.Fatalf("%v: %+v, but %d lots after %d", f, r, len(after), len(before))
			}
		}
	}
}

func TestRelax(t *testing.T) {
	x, all := openIndex(t, t.TempDir()), newTruth()
	press := inOhio()
	if err := x.Apply(context.Background(), 1, []*pb.Lot{press}, nil); err != nil {
		t.Fatal(err)
	}
	all.put(press)
	toledo := &pb.Near{Point: &pb.Point{Latitude: 41.66, Longitude: -83.55}, WithinRoadKm: proto.Float64(200)}
	cases := []struct {
		filter *pb.LotFilter
		want   string
	}{
		{&pb.LotFilter{Near: toledo}, "within 200 mi"},
		{&pb.LotFilter{MaxPrice: &pb.Money{CurrencyCode: "USD", Units: 500}}, "at most $1,000"},
		{&pb.LotFilter{MaxMassKg: proto.Float64(500)}, "weighing at most 1,500 lb"},
		{&pb.LotFilter{Sheet: &pb.Rectangle{WidthMm: 900, HeightMm: 900}}, "whatever sheet it prints"},
		{&pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_CUTS}}, "of any kind"},
		{&pb.LotFilter{Classes: []pb.Class{pb.Class_CLASS_HAND_PRESS}}, "of any class"},
		{&pb.LotFilter{Regions: []string{"GB"}}, "anywhere"},
		{&pb.LotFilter{Shop: "shops/other"}, "in any shop"},
		{&pb.LotFilter{Words: "halvorsen treadle platen"}, `without "treadle"`},
		{&pb.LotFilter{Words: "xyzzy halvorsen, qwertz-platen"}, `without "xyzzy" and "qwertz"`},
		{&pb.LotFilter{Words: "halvorsen b7 pq99, c8"}, `without "b7", "pq99" and "c8"`},
	}
	for _, c := range cases {
		told, err := x.Relax(context.Background(), c.filter)
		if err != nil || len(told) != 1 || told[0].Description != c.want {
			t.Errorf("%v: %v, %v, not %q", c.filter, told, err, c.want)
		}
	}
	if told, err := x.Relax(context.Background(), nil); err != nil || len(told) > 0 {
		t.Errorf("nothing is asked, and yet: %v, %v", told, err)
	}
}

// What no lot has is told as it was typed; a beginning may be a word's.
func TestUnknown(t *testing.T) {
	x, _ := lotsTitled(t, "Brass galley", "Table top press")
	for words, want := range map[string][]string{
		"": nil, "brass of galleys": nil, "tabletop": nil, "Xyzzy brass": {"Xyzzy"}, "gall* xyz*": nil, "Tiegel press, 24 pt": {"Tiegel", "24 pt"},
	} {
		if got, err := x.Unknown(context.Background(), words); err != nil || !slices.Equal(got, want) {
			t.Errorf("%q: %q, %v, not %q", words, got, err, want)
		}
	}
}

func TestDidYouMean(t *testing.T) {
	x, _ := lotsTitled(t, "Brass galley", "Steel gauge", "Platen", "Plates")
	for words, want := range map[string]string{
		"steel galley": "", "steel platen": "", "brass plate": "", "glass galley": "", "brass gallery": "brass galley", "": "", "a the box": "", "bress galley": "brass galley",
	} {
		if got, err := x.DidYouMean(context.Background(), wordsAlone(words)); err != nil || got != want {
			t.Errorf("%q: %q, %v, not %q", words, got, err, want)
		}
	}
}

func TestStepsOut(t *testing.T) {
	if got := stepsOut(280, 1.25, 2); !slices.Equal(got, []float64{350, 600}) {
		t.Errorf("%v", got)
	}
	if got := stepsOut(0, 2); !slices.Equal(got, []float64{0}) {
		t.Errorf("of nothing: %v", got)
	}
}
