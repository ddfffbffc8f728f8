package server_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

func TestALotIsPostedFoundAndRead(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby Job Printing", "Dayton, OH")
	lot, change := r.lot(t, shop, platen("P 1"))
	if want := shop.GetName() + "/lots/p-1"; lot.GetName() != want {
		t.Errorf("name %q, want %q", lot.GetName(), want)
	}
	if lot.GetTown().GetLabel() != "Dayton, OH" || lot.GetShopTitle() != "Marrowby Job Printing" {
		t.Errorf("the lot does not show its shop: %v", lot)
	}
	if h := lot.GetHistory(); len(h) != 1 || h[0].GetState() != pb.LotState_LOT_STATE_OFFERED || h[0].GetChange() != change {
		t.Errorf("history %v at change %d", h, change)
	}
	got, err := r.lots.GetLot(t.Context(), &pb.GetLotRequest{Name: lot.GetName()})
	if err != nil || !proto.Equal(got.GetLot(), lot) {
		t.Errorf("read back %v, %v\nwritten   %v", got.GetLot(), err, lot)
	}
	near := &pb.Near{Place: "Columbus, OH", WithinRoadKm: proto.Float64(200)}
	if tags := r.find(t, &pb.LotFilter{Words: "platen", Near: near}, change); !slices.Equal(tags, []string{"P 1"}) {
		t.Errorf("found %v", tags)
	}
}

func TestABatchIsAllOrNothing(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	bad := platen("p3")
	bad.Title = ""
	_, err := r.lots.BatchCreateLots(t.Context(), &pb.BatchCreateLotsRequest{
		Parent: shop.GetName(), Lots: []*pb.Lot{platen("p1"), platen("P1"), bad, {Tag: "p4", Title: "x", Count: proto.Int32(0)}},
	})
	fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
	want := []string{"lots[1].tag", "lots[2].title", "lots[3].count"}
	if got := slices.Sorted(maps.Keys(fields)); !slices.Equal(got, want) {
		t.Errorf("fields %v, want %v", got, want)
	}
	r.lot(t, shop, platen("p9"))
	_, err = r.lots.BatchCreateLots(t.Context(), &pb.BatchCreateLotsRequest{
		Parent: shop.GetName(), Lots: []*pb.Lot{platen("p7"), platen("P9")},
	})
	refused(t, err, codes.AlreadyExists, server.ReasonExists)
	listed, err := r.lots.ListLots(t.Context(), &pb.ListLotsRequest{Parent: shop.GetName()})
	if err != nil || len(listed.GetLots()) != 1 {
		t.Errorf("the shop has %v, %v; only p9 was posted", listed.GetLots(), err)
	}
}

func TestARepeatedRequestIsAnsweredOnce(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	req := &pb.CreateLotRequest{Parent: shop.GetName(), Lot: platen("p1"), RequestId: "once"}
	first, err := r.lots.CreateLot(t.Context(), req)
	if err != nil {
		t.Fatal(err)
	}
	again, err := r.lots.CreateLot(t.Context(), req)
	if err != nil || !proto.Equal(first, again) {
		t.Errorf("the repeat was answered %v, %v\nthe first          %v", again, err, first)
	}
	_, err = r.lots.CreateLot(t.Context(), &pb.CreateLotRequest{Parent: shop.GetName(), Lot: platen("p2"), RequestId: "once"})
	refused(t, err, codes.InvalidArgument, server.ReasonReusedID)
}

func TestWhatIsWrongWithALotIsNamed(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	for _, c := range []struct {
		field string
		spoil func(*pb.Lot)
	}{
		{"lot.tag", func(l *pb.Lot) { l.Tag = "  " }},
		{"lot.tag", func(l *pb.Lot) { l.Tag = strings.Repeat("x", 41) }},
		{"lot.title", func(l *pb.Lot) { l.Title = "" }},
		{"lot.title", func(l *pb.Lot) { l.Title = strings.Repeat("é", 201) }},
		{"lot.description", func(l *pb.Lot) { l.Description = strings.Repeat("x", 10_001) }},
		{"lot.kind", func(l *pb.Lot) { l.Kind, l.Class = 99, 0 }},
		{"lot.class", func(l *pb.Lot) { l.Class = 99 }},
		{"lot.class", func(l *pb.Lot) { l.Class = pb.Class_CLASS_BENCH_CUTTER }},
		{"lot.count", func(l *pb.Lot) { l.Count = proto.Int32(0) }},
		{"lot.weight", func(l *pb.Lot) { l.Weight = &pb.Weight{} }},
		{"lot.weight", func(l *pb.Lot) { l.Weight = &pb.Weight{LowKg: proto.Float64(9), HighKg: proto.Float64(8)} }},
		{"lot.weight.mass_kg", func(l *pb.Lot) { l.Weight = &pb.Weight{MassKg: proto.Float64(0)} }},
		{"lot.weight.mass_kg", func(l *pb.Lot) { l.Weight = &pb.Weight{MassKg: proto.Float64(100_001)} }},
		{"lot.weight.grounds", func(l *pb.Lot) { l.Weight = &pb.Weight{MassKg: proto.Float64(1), Grounds: 9} }},
		{"lot.size.width_mm", func(l *pb.Lot) { l.Size = &pb.Size{WidthMm: proto.Float64(-1)} }},
		{"lot.price.currency_code", func(l *pb.Lot) { l.Price = &pb.Money{CurrencyCode: "dollars"} }},
		{"lot.price", func(l *pb.Lot) { l.Price = &pb.Money{CurrencyCode: "USD", Units: -1} }},
		{"lot.clear_by", func(l *pb.Lot) { l.ClearBy = &pb.Date{Year: 2027, Month: 2, Day: 29} }},
		{"lot.parts", func(l *pb.Lot) { l.Parts = &pb.Parts{Missing: []string{""}} }},
		{"lot.state", func(l *pb.Lot) { l.State = pb.LotState_LOT_STATE_REHOMED }},
		{"lot", func(l *pb.Lot) { l.Detail = &pb.Lot_Cuts{Cuts: &pb.CutsDetail{}} }},
		{"lot.press.chase.width_mm", func(l *pb.Lot) {
			l.Detail = &pb.Lot_Press{Press: &pb.PressDetail{Chase: &pb.Rectangle{WidthMm: 0, HeightMm: 9}}}
		}},
		{"lot.wood_type.bill", func(l *pb.Lot) {
			l.Kind, l.Class = pb.Kind_KIND_WOOD_TYPE, 0
			l.Detail = &pb.Lot_WoodType{WoodType: &pb.WoodTypeDetail{Bill: []*pb.SortCount{{Sort: "A", Count: -1}}}}
		}},
		{"lot.metal_type.bill", func(l *pb.Lot) {
			l.Kind, l.Class = pb.Kind_KIND_METAL_TYPE, 0
			l.Detail = &pb.Lot_MetalType{MetalType: &pb.MetalTypeDetail{Bill: []*pb.SortCount{{Sort: "A"}, {Sort: "A"}}}}
		}},
		{"lot.general.thickness_mm", func(l *pb.Lot) {
			l.Kind, l.Class = pb.Kind_KIND_STONES, 0
			l.Detail = &pb.Lot_General{General: &pb.GeneralDetail{ThicknessMm: proto.Float64(0)}}
		}},
	} {
		lot := platen("p1")
		c.spoil(lot)
		_, err := r.lots.CreateLot(t.Context(), &pb.CreateLotRequest{Parent: shop.GetName(), Lot: lot})
		fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
		if fields[c.field] == "" {
			t.Errorf("%v: fields %v, want %s", lot, fields, c.field)
		}
	}
	_, err := r.lots.CreateLot(t.Context(), &pb.CreateLotRequest{Parent: shop.GetName()})
	refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
	_, err = r.lots.BatchCreateLots(t.Context(), &pb.BatchCreateLotsRequest{Parent: shop.GetName()})
	refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
	_, err = r.lots.CreateLot(t.Context(), &pb.CreateLotRequest{Parent: "shops/none", Lot: platen("p1")})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
}

func mask(paths ...string) *fieldmaskpb.FieldMask { return &fieldmaskpb.FieldMask{Paths: paths} }

func TestAnUpdateChangesWhatItNames(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	lot, _ := r.lot(t, shop, platen("p1"))
	update := func(l *pb.Lot, paths ...string) (*pb.Lot, error) {
		l.Name = lot.GetName()
		got, err := r.lots.UpdateLot(t.Context(), &pb.UpdateLotRequest{Lot: l, UpdateMask: mask(paths...)})
		return got.GetLot(), err
	}
	priced, err := update(&pb.Lot{Price: &pb.Money{CurrencyCode: "USD", Units: 9}, Title: "not named"}, "price")
	if err != nil || priced.GetPrice().GetUnits() != 9 || priced.GetTitle() != lot.GetTitle() {
		t.Fatalf("%v, %v", priced, err)
	}
	chased, err := update(&pb.Lot{Detail: &pb.Lot_Press{Press: &pb.PressDetail{Chase: &pb.Rectangle{WidthMm: 254, HeightMm: 381}}}}, "press.chase")
	if err != nil || chased.GetPress().GetChase().GetWidthMm() != 254 {
		t.Fatalf("%v, %v", chased, err)
	}
	cleared, err := update(&pb.Lot{}, "price")
	if err != nil || cleared.GetPrice() != nil {
		t.Fatalf("%v, %v", cleared, err)
	}
	same, err := update(&pb.Lot{Title: lot.GetTitle()}, "title")
	if err != nil || same.GetRevision() != cleared.GetRevision() {
		t.Errorf("an update that changes nothing wrote revision %d over %d, %v", same.GetRevision(), cleared.GetRevision(), err)
	}
	for _, paths := range [][]string{nil, {"name"}, {"town"}, {"nonsense"}, {"press.nonsense"}, {"title.x"}, {"cuts.pieces"}} {
		_, err := update(&pb.Lot{Title: "x"}, paths...)
		if fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid); fields["update_mask"] == "" {
			t.Errorf("%v: fields %v", paths, fields)
		}
	}
	_, err = r.lots.UpdateLot(t.Context(), &pb.UpdateLotRequest{Lot: &pb.Lot{Name: shop.GetName() + "/lots/none"}, UpdateMask: mask("title")})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	r.lot(t, shop, platen("p2"))
	_, err = update(&pb.Lot{Tag: "P2"}, "tag")
	refused(t, err, codes.AlreadyExists, server.ReasonExists)
}

func TestAStaleEtagIsAborted(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	lot, _ := r.lot(t, shop, platen("p1"))
	write := func(etag, title string) (*pb.Lot, error) {
		got, err := r.lots.UpdateLot(t.Context(), &pb.UpdateLotRequest{
			Lot: &pb.Lot{Name: lot.GetName(), Etag: etag, Title: title}, UpdateMask: mask("title"),
		})
		return got.GetLot(), err
	}
	if _, err := write(lot.GetEtag(), "first"); err != nil {
		t.Fatal(err)
	}
	_, err := write(lot.GetEtag(), "second")
	refused(t, err, codes.Aborted, server.ReasonStale)
	_, err = r.shops.UpdateShop(t.Context(), &pb.UpdateShopRequest{
		Shop: &pb.Shop{Name: shop.GetName(), Etag: "zz", Title: "x"}, UpdateMask: mask("title"),
	})
	refused(t, err, codes.Aborted, server.ReasonStale)
}

// Every pair of states: the ways of the contract are open, and no other.
func TestALotGoesOnlyWhereItMay(t *testing.T) {
	ways := map[string]string{
		"DRAFT":    "PROOFED WITHDRAWN",
		"PROOFED":  "DRAFT OFFERED WITHDRAWN",
		"OFFERED":  "PROMISED REHOMED WITHDRAWN",
		"PROMISED": "OFFERED REHOMED WITHDRAWN", "WITHDRAWN": "DRAFT OFFERED", "REHOMED": "",
	}
	route := map[string][]string{
		"DRAFT": nil, "PROOFED": {"PROOFED"}, "OFFERED": {"PROOFED", "OFFERED"}, "PROMISED": {"PROOFED", "OFFERED", "PROMISED"},
		"WITHDRAWN": {"WITHDRAWN"}, "REHOMED": {"PROOFED", "OFFERED", "REHOMED"},
	}
	state := func(word string) pb.LotState { return pb.LotState(pb.LotState_value["LOT_STATE_"+word]) }
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	n := 0
	for from, steps := range route {
		for to := range route {
			n++
			lot := platen(fmt.Sprint("t", n))
			lot.State = state("DRAFT")
			lot, _ = r.lot(t, shop, lot)
			var err error
			go_ := func(word string) {
				var got *pb.UpdateLotResponse
				got, err = r.lots.UpdateLot(t.Context(), &pb.UpdateLotRequest{
					Lot: &pb.Lot{Name: lot.GetName(), State: state(word)}, UpdateMask: mask("state"),
				})
				if err == nil {
					lot = got.GetLot()
				}
			}
			for _, s := range steps {
				if go_(s); err != nil {
					t.Fatal(err)
				}
			}
			before := len(lot.GetHistory())
			go_(to)
			open := from == to || slices.Contains(strings.Fields(ways[from]), to)
			if !open {
				refused(t, err, codes.FailedPrecondition, server.ReasonState)
				continue
			}
			if err != nil {
				t.Errorf("%s to %s: %v", from, to, err)
			}
			if steps := len(lot.GetHistory()); from != to && (steps != before+1 || lot.GetHistory()[steps-1].GetChange() != lot.GetRevision()) {
				t.Errorf("%s to %s: history %v at revision %d", from, to, lot.GetHistory(), lot.GetRevision())
			}
		}
	}
}

func TestPagesOfLots(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	var want []string
	for i := range 7 {
		want = append(want, fmt.Sprint("p", i))
		r.lot(t, shop, platen(want[i]))
	}
	var got []string
	req := &pb.ListLotsRequest{Parent: shop.GetName(), PageSize: 3}
	for {
		page, err := r.lots.ListLots(t.Context(), req)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range page.GetLots() {
			got = append(got, l.GetTag())
		}
		if req.PageToken = page.GetNextPageToken(); req.PageToken == "" {
			break
		}
		r.lot(t, shop, platen(fmt.Sprint("late", len(got)))) // a write in between
	}
	if !slices.Equal(got[:7], want) {
		t.Errorf("pages gave %v, want %v first", got, want)
	}
	other := r.shop(t, "Tolliver", "Grand Rapids, MI")
	first, _ := r.lots.ListLots(t.Context(), &pb.ListLotsRequest{Parent: shop.GetName(), PageSize: 1})
	for _, token := range []string{"nonsense", first.GetNextPageToken()} {
		_, err := r.lots.ListLots(t.Context(), &pb.ListLotsRequest{Parent: other.GetName(), PageToken: token})
		refused(t, err, codes.InvalidArgument, server.ReasonPageToken)
	}
	_, err := r.lots.ListLots(t.Context(), &pb.ListLotsRequest{Parent: shop.GetName(), PageSize: -1})
	refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
	_, err = r.lots.ListLots(t.Context(), &pb.ListLotsRequest{Parent: "shops/none"})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	tagged, err := r.lots.ListLots(t.Context(), &pb.ListLotsRequest{Parent: shop.GetName(), Tag: " P 3"})
	if err != nil || len(tagged.GetLots()) != 1 || tagged.GetLots()[0].GetTag() != "p3" {
		t.Errorf("by tag: %v, %v", tagged, err)
	}
}

// Two tags that look alike in a name are two lots with two names.
func TestNamesOfLikeTags(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	a, _ := r.lot(t, shop, platen("P.3"))
	b, _ := r.lot(t, shop, platen("P-3"))
	c, _ := r.lot(t, shop, platen("活字"))
	if a.GetName() == b.GetName() || b.GetName() != a.GetName()+"-2" || !strings.HasPrefix(c.GetName(), shop.GetName()+"/lots/") {
		t.Errorf("names %q, %q, %q", a.GetName(), b.GetName(), c.GetName())
	}
}
