package search

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

func TestUnderstand(t *testing.T) {
	cases := []struct{ words, left, sentence string }{
		// Places.
		{"platen within 200 miles of Toledo", "platen", `Understood as "platen", within 200 mi by road of Toledo, OH.`},
		{"platen within 60 mi. of Dayton, Ohio please", "platen please", `Understood as "platen please", within 60 mi by road of Dayton, OH.`},
		{"50 km from Utrecht proefpers", "proefpers", `Understood as "proefpers", within 50 km by road of Utrecht, Netherlands.`},
		{"a press close to Leeds, England", "a press", `Understood as "a press", near Leeds, England.`},
		{"press near Leeds, England within 80 km", "press", `Understood as "press", near Leeds, England, within 80 km by road.`},
		{"press near 45402", "press", `Understood as "press", near Dayton, OH.`},
		{"oak in Ohio, cases", "oak cases", `Understood as "oak cases", in Ohio.`},
		{"type in the UK", "type", `Understood as "type", in UK.`},
		{"from Germany", "", `Understood as in Germany.`},
		// Weight, price and sheet.
		{"press under 500 lb", "press", `Understood as "press", weighing at most 500 lb.`},
		{"platen weighing less than 1,500 pounds", "platen", `Understood as "platen", weighing at most 1,500 lb.`},
		{"cutter 300 kg or less", "cutter", `Understood as "cutter", weighing at most 300 kg.`},
		{"under $900 wood type", "wood type", `Understood as "wood type", at most $900.`},
		{"max price 500 euros", "", `Understood as at most €500.`},
		{"fount for £40 or less", "fount for", `Understood as "fount for", at most £40.`},
		{"press for a 12x18 sheet", "press", `Understood as "press", for a sheet of 12 x 18 in.`},
		{"press that prints 254 x 381 mm", "press", `Understood as "press", for a sheet of 254 x 381 mm.`},
		{"sheet of 10 by 15 in, platen", "platen", `Understood as "platen", for a sheet of 10 x 15 in.`},
		{"presse unter 700 kg", "presse", `Understood as "presse", weighing at most 700 kg.`},
		{"tiegel im Umkreis von 100 km um Köln", "tiegel", `Understood as "tiegel", within 100 km by road of Köln, Germany.`},
		{"presse à moins de 100 km de Lyon", "presse", `Understood as "presse", within 100 km by road of Lyon, France.`},
		{"press for A3 paper", "press", `Understood as "press", for a sheet of A3, 297 x 420 mm.`},
		{"proof press that takes up to SRA3", "proof press", `Understood as "proof press", for a sheet of SRA3, 320 x 450 mm.`},
		{"A4 platen", "A4 platen", ""},
		// Amounts in words and fractions.
		{"press under half a ton", "press", `Understood as "press", weighing at most 1,120 lb.`},
		{"press under a ton", "press", `Understood as "press", weighing at most 2,240 lb.`},
		{"press under 1/2 ton", "press", `Understood as "press", weighing at most 1,120 lb.`},
		{"platen within two hundred miles of Toledo", "platen", `Understood as "platen", within 200 mi by road of Toledo, OH.`},
		{"type under five hundred dollars", "type", `Understood as "type", at most $500.`},
		{"press under five six pounds", "press under five six pounds", `Left as words: "five six pounds" is not a weight: write it as 1350 lb, 612 kg, 1200-1500 lb or weighed 1350 lb.`},
		// A currency tells the country.
		{"press near York under £1000", "press", `Understood as "press", at most £1,000, near York, England.`},
		// Idle words are not left alone.
		{"anything within 50 km of Utrecht", "", `Understood as within 50 km by road of Utrecht, Netherlands.`},
		{"something that prints 10x15", "", `Understood as for a sheet of 10 x 15 in.`},
		// Kinds, and several at once.
		{"only presses under 2000 lb", "", `Understood as weighing at most 2,000 lb, of kind press.`},
		{"press within 300 miles of Dayton, Ohio that takes a 12x18 sheet under $2,000", "press",
			`Understood as "press", at most $2,000, for a sheet of 12 x 18 in, within 300 mi by road of Dayton, OH.`},
		// What is left as words.
		{"platen", "platen", ""}, {"", "", ""}, {"under 900", "under 900", ""}, {"chases for a 10x15", "chases for a 10x15", ""},
		{"type in cases", "type in cases", ""}, {"only one roller", "only one roller", ""}, {"KR15 in Dayton", "KR15 in Dayton", ""},
		{"press under 5,00,0 lb", "press under 5,00,0 lb", `Left as words: "5,00,0 lb" is not a weight: write it as 1350 lb, 612 kg, 1200-1500 lb or weighed 1350 lb.`},
		{"within 0 miles of Dayton", "within 0 miles of Dayton", `Left as words: "0 miles" is not a distance by road: it must be more than 0 and at most 25,000 km.`},
		{"prints 0x0", "prints 0x0", `Left as words: "0x0" is not a size: a side is more than 0 and at most 10 m.`},
		{"within 100 miles", "within 100 miles", `Left as words: "100 miles" is from nowhere; name a town.`},
		{"near Ohio", "near Ohio", `Left as words: "Ohio" is a state of the United States. Name a town, as "Columbus, OH" or "Ohio, IL".`},
		{"press near Springfield", "press near Springfield", `Left as words: "Springfield" may be any of 29 towns, such as Springfield, MO; Springfield, MA; Springfield, IL; add the state or country.`},
	}
	for _, c := range cases {
		u := Understand(&pb.LotFilter{Words: c.words})
		if u.Filter.GetWords() != c.left || u.Sentence() != c.sentence {
			t.Errorf("%q\nleaves %q: %s\nnot    %q: %s", c.words, u.Filter.GetWords(), u.Sentence(), c.left, c.sentence)
		}
	}
}

// The parts of the filter are those that flags would have given.
func TestUnderstoodAsFlagsWouldBe(t *testing.T) {
	got := Understand(&pb.LotFilter{Words: "press within 100 km of Dayton, OH under 500 kg under €900 for a 254x381 mm sheet in Ohio", KnownOnly: true})
	want := &pb.LotFilter{
		Words: "press", KnownOnly: true, Regions: []string{"US/OH"}, MaxMassKg: proto.Float64(500),
		Near: &pb.Near{Place: "Dayton, OH", WithinRoadKm: proto.Float64(100)}, MaxPrice: &pb.Money{CurrencyCode: "EUR", Units: 900},
		Sheet: &pb.Rectangle{WidthMm: 254, HeightMm: 381},
	}
	if !proto.Equal(got.Filter, want) {
		t.Errorf("understood as %s", protojson.Format(got.Filter))
	}
	if near := Understand(&pb.LotFilter{Words: "press near Dayton, OH"}); near.Order != pb.LotOrder_LOT_ORDER_NEAREST {
		t.Errorf("near a place is in order %v", near.Order)
	}
}

// What the filter gives wins, and what its words say of the same is taken out.
func TestGivenWinsOverWords(t *testing.T) {
	given := &pb.LotFilter{
		Words:     "press within 100 km of Leeds, England under 500 kg under $900 for a 12x18 sheet in England only cuts",
		MaxMassKg: proto.Float64(1), Near: &pb.Near{Place: "Dayton, OH", WithinRoadKm: proto.Float64(7)}, MaxPrice: &pb.Money{CurrencyCode: "USD", Units: 1},
		Sheet: &pb.Rectangle{WidthMm: 1, HeightMm: 1}, Regions: []string{"US"}, Kinds: []pb.Kind{pb.Kind_KIND_PRESS},
	}
	before := proto.CloneOf(given)
	u := Understand(given)
	want := proto.CloneOf(given)
	want.Words = "press"
	if !proto.Equal(u.Filter, want) || u.Sentence() != "" {
		t.Errorf("understood as %s: %s", protojson.Format(u.Filter), u.Sentence())
	}
	if !proto.Equal(given, before) {
		t.Error("the filter was changed")
	}
	for words, want := range map[string]float64{"press within 100 km": 100, "press near Leeds": 0} {
		u := Understand(&pb.LotFilter{Words: words, Near: &pb.Near{Place: "Dayton, OH"}})
		if near := u.Filter.GetNear(); near.GetPlace() != "Dayton, OH" || near.GetWithinRoadKm() != want || u.Filter.GetWords() != "press" {
			t.Errorf("%q: %v", words, u.Filter)
		}
	}
	if u := Understand(&pb.LotFilter{Words: "press within 100 km", Near: &pb.Near{Place: "Dayton, OH", WithinRoadKm: proto.Float64(7)}}); u.Filter.GetNear().GetWithinRoadKm() != 7 || u.Filter.GetWords() != "press" {
		t.Errorf("a distance that is given: %v", u.Filter)
	}
	if u := Understand(nil); u.Filter == nil || u.Sentence() != "" {
		t.Errorf("no filter: %v", u)
	}
}

// Ten thousand words are not read at all; the filter's limits refuse them.
func TestUnderstandIsBounded(t *testing.T) {
	long := strings.Repeat("under 500 lb ", 3000)
	if u := Understand(&pb.LotFilter{Words: long}); u.Filter.GetWords() != long || len(u.Said) > 0 || len(Validate(u.Filter)) == 0 {
		t.Errorf("understood as %s", u.Sentence())
	}
}
