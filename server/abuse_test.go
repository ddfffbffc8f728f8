package server_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// repeated is a value so many times.
func repeated[T any](value T, times int) []T {
	all := make([]T, times)
	for i := range all {
		all[i] = value
	}
	return all
}

func filtered(f *pb.LotFilter) *pb.SearchLotsRequest { return &pb.SearchLotsRequest{Filter: f} }

func nearLatLng(lat, lng float64, km *float64) *pb.SearchLotsRequest {
	return filtered(&pb.LotFilter{Near: &pb.Near{Point: &pb.Point{Latitude: lat, Longitude: lng}, WithinRoadKm: km}})
}

// What asks for more than there can be an answer to is refused, the field is
// named, and the refusal is no longer than a client can take.
func TestTooMuchIsRefused(t *testing.T) {
	r := open(t)
	nan, inf := math.NaN(), math.Inf(1)
	long := strings.Repeat("x", 1<<20)
	for name, c := range map[string]struct {
		field string
		req   *pb.SearchLotsRequest
	}{
		"10,000 words":                    {"filter.words", filtered(&pb.LotFilter{Words: strings.Repeat("platen ", 10_000)})},
		"10,000 words, understood":        {"filter.words", &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: strings.Repeat("under 500 lb ", 4000)}, UnderstandWords: true, Suggest: true, Facets: true, Highlights: true}},
		"a word of 1 MB":                  {"filter.words", filtered(&pb.LotFilter{Words: long})},
		"1 MB of blanks":                  {"filter.words", filtered(&pb.LotFilter{Words: strings.Repeat(" ", 1<<20)})},
		"1,000 kinds":                     {"filter.kinds", filtered(&pb.LotFilter{Kinds: repeated(pb.Kind_KIND_PRESS, 1000)})},
		"1,000 kinds there are none of":   {"filter.kinds", filtered(&pb.LotFilter{Kinds: repeated(pb.Kind(4711), 1000)})},
		"1,000 classes":                   {"filter.classes", filtered(&pb.LotFilter{Classes: repeated(pb.Class_CLASS_HAND_PRESS, 1000)})},
		"1,000 classes there are none of": {"filter.classes", filtered(&pb.LotFilter{Classes: repeated(pb.Class(-1), 1000)})},
		"1,000 states":                    {"filter.states", filtered(&pb.LotFilter{States: repeated(pb.LotState_LOT_STATE_OFFERED, 1000)})},
		"1,000 regions":                   {"filter.regions", filtered(&pb.LotFilter{Regions: repeated("US/OH", 1000)})},
		"1,000 regions there are none of": {"filter.regions", filtered(&pb.LotFilter{Regions: repeated(strings.Repeat("x", 1000), 1000)})},
		"a region of 1 MB":                {"filter.regions[0]", filtered(&pb.LotFilter{Regions: []string{long}})},
		"a shop of 1 MB":                  {"filter.shop", filtered(&pb.LotFilter{Shop: "shops/" + long})},
		"a place of 1 MB":                 {"filter.near.place", filtered(&pb.LotFilter{Near: &pb.Near{Place: long}})},
		"a currency of 1 MB":              {"filter.max_price.currency_code", filtered(&pb.LotFilter{MaxPrice: &pb.Money{CurrencyCode: long}})},
		"a page token of 1 MB":            {"page_token", &pb.SearchLotsRequest{PageToken: long}},
		"twice round the earth":           {"filter.near.within_road_km", nearLatLng(40, -84, proto.Float64(80_000))},
		"a reach of NaN":                  {"filter.near.within_road_km", nearLatLng(40, -84, &nan)},
		"a reach of infinity":             {"filter.near.within_road_km", nearLatLng(40, -84, &inf)},
		"a reach below 0":                 {"filter.near.within_road_km", nearLatLng(40, -84, proto.Float64(-1))},
		"a latitude of NaN":               {"filter.near.point", nearLatLng(nan, -84, nil)},
		"a longitude of infinity":         {"filter.near.point", nearLatLng(40, inf, nil)},
		"a mass of NaN":                   {"filter.max_mass_kg", filtered(&pb.LotFilter{MaxMassKg: &nan})},
		"a mass of infinity":              {"filter.max_mass_kg", filtered(&pb.LotFilter{MaxMassKg: &inf})},
		"a sheet of NaN":                  {"filter.sheet.width_mm", filtered(&pb.LotFilter{Sheet: &pb.Rectangle{WidthMm: nan, HeightMm: 1}})},
		"a sheet of infinity":             {"filter.sheet.height_mm", filtered(&pb.LotFilter{Sheet: &pb.Rectangle{WidthMm: 1, HeightMm: inf}})},
		"a price below 0":                 {"filter.max_price.units", filtered(&pb.LotFilter{MaxPrice: &pb.Money{CurrencyCode: "USD", Units: math.MinInt64}})},
		"a page size of -1":               {"page_size", &pb.SearchLotsRequest{PageSize: -1}},
		"the least page size":             {"page_size", &pb.SearchLotsRequest{PageSize: math.MinInt32}},
		"an order there is none of":       {"order", &pb.SearchLotsRequest{Order: math.MaxInt32}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := r.search.SearchLots(t.Context(), c.req)
			reason := server.ReasonInvalid
			if c.field == "page_token" {
				reason = server.ReasonPageToken
			}
			fields := refused(t, err, codes.InvalidArgument, reason)
			if fields[c.field] == "" {
				t.Errorf("%d fields are named, and not %s: %.300v", len(fields), c.field, fields)
			}
			if size := proto.Size(status.Convert(err).Proto()); size > mostRefusal {
				t.Errorf("the refusal has %d bytes", size)
			}
		})
	}
}

// mostRefusal is how long a refusal may be, in bytes: clients of some languages
// take 8 KiB of trailers and no more, and base64 and the message again are in
// them.
const mostRefusal = 4096

// What is wide, long or strange, and yet can be answered, has a bounded answer.
func TestWidestSearchesAreAnswered(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	r.lot(t, shop, platen("p1"))
	_, change := r.lot(t, shop, platen("p2"))
	everything := func(words string) *pb.SearchLotsRequest {
		return &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: words}, UnderstandWords: true, Suggest: true, Facets: true, Highlights: true}
	}
	huge := proto.Float64(math.MaxFloat64)
	for name, c := range map[string]struct {
		found int32
		req   *pb.SearchLotsRequest
	}{
		"a page of 10 million":       {2, &pb.SearchLotsRequest{PageSize: 10_000_000}},
		"the largest page":           {2, &pb.SearchLotsRequest{PageSize: math.MaxInt32}},
		"the whole earth":            {2, nearLatLng(40, -84, proto.Float64(25_000))},
		"the whole earth, from it":   {2, nearLatLng(-90, 180, nil)},
		"64 words":                   {2, everything(strings.Repeat("platen ", 64))},
		"64 words that no lot has":   {0, everything(strings.TrimSpace(strings.Repeat("xyzzyplugh ", 64)))},
		"64 slips":                   {2, everything("platten " + strings.Repeat("platen ", 63))},
		"64 beginnings":              {2, everything(strings.Repeat("pl* ha* ", 32))},
		"64 clauses":                 {2, everything(strings.Repeat("near Dayton OH ", 16))},
		"1,000 characters":           {0, everything(strings.Repeat("x", 1000))},
		"control characters":         {2, everything("halvorsen\x00\x01\x7f\u0085 platen\r\n\t\v\f\u2028\u200b\ufeff jobber")},
		"other directions and plane": {0, everything("\u202eplaten\u202c 𝕏𝕐 👩‍🚀 e\u0301\u0302\u0303")},
		"huge numbers":               {0, everything("99999999999999999999999999999999999999 1e999 0x7fffffff 9/0")},
		"a huge mass":                {2, filtered(&pb.LotFilter{MaxMassKg: huge})},
		"a huge price":               {2, filtered(&pb.LotFilter{MaxPrice: &pb.Money{CurrencyCode: "USD", Units: math.MaxInt64, Nanos: 999_999_999}})},
		"the least mass":             {0, filtered(&pb.LotFilter{MaxMassKg: proto.Float64(math.SmallestNonzeroFloat64)})},
		"every kind twenty times":    {2, filtered(&pb.LotFilter{Kinds: repeated(pb.Kind_KIND_PRESS, 20)})},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
			defer cancel()
			c.req.AtLeastChange = change
			got, err := r.search.SearchLots(ctx, c.req)
			if err != nil {
				t.Fatal(err)
			}
			if got.GetTotalSize() != c.found || len(got.GetHits()) != int(c.found) {
				t.Errorf("found %d lots, %d hits, not %d; searched %.200q", got.GetTotalSize(), len(got.GetHits()), c.found, got.GetSearched().GetWords())
			}
			if size := proto.Size(got); size > 64<<10 {
				t.Errorf("the answer has %d bytes", size)
			}
		})
	}
}

// asItIs sends bytes as they are.
type asItIs struct{}

func (asItIs) Name() string                  { return "proto" }
func (asItIs) Marshal(v any) ([]byte, error) { return v.([]byte), nil }
func (asItIs) Unmarshal(b []byte, v any) error {
	return proto.Unmarshal(b, v.(proto.Message))
}

// Bytes that are no text are refused, and the registry goes on.
func TestNoTextIsRefused(t *testing.T) {
	r := open(t)
	for name, body := range map[string][]byte{
		"no UTF-8":     {0x0a, 0x04, 0x0a, 0x02, 0xff, 0xfe}, // filter.words
		"no message":   {0xff, 0xff, 0xff},
		"a short read": {0x0a, 0x40, 0x0a},
	} {
		err := r.conn.Invoke(t.Context(), pb.SearchService_SearchLots_FullMethodName, body, new(pb.SearchLotsResponse), grpc.ForceCodec(asItIs{}))
		if code := status.Code(err); code != codes.Internal && code != codes.InvalidArgument || !strings.Contains(err.Error(), "unmarshal") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := r.search.SearchLots(t.Context(), &pb.SearchLotsRequest{}); err != nil {
		t.Errorf("after them: %v", err)
	}
}

// A token of the last page, or of a lot that is gone, is answered.
func TestDeepPages(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	var change uint64
	for i := range 30 {
		_, change = r.lot(t, shop, platen(fmt.Sprint("p", i)))
	}
	req := &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: "platen"}, PageSize: 1, AtLeastChange: change}
	seen := map[string]bool{}
	for {
		got, err := r.search.SearchLots(t.Context(), req)
		if err != nil {
			t.Fatal(err)
		}
		for _, hit := range got.GetHits() {
			if seen[hit.GetLot().GetName()] {
				t.Fatalf("%s twice", hit.GetLot().GetName())
			}
			seen[hit.GetLot().GetName()] = true
		}
		if got.GetNextPageToken() == "" {
			break
		}
		req.PageToken = got.GetNextPageToken()
		req.PageSize = 1 + int32(len(seen))%3
	}
	if len(seen) != 30 {
		t.Errorf("%d lots on all pages", len(seen))
	}
	req.Filter.Words = "jobber"
	_, err := r.search.SearchLots(t.Context(), req)
	refused(t, err, codes.InvalidArgument, server.ReasonPageToken)
}
