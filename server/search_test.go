package server_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

func TestWhatIsWrongWithASearchIsNamed(t *testing.T) {
	r := open(t)
	for _, c := range []struct {
		field string
		req   *pb.SearchLotsRequest
	}{
		{"page_size", &pb.SearchLotsRequest{PageSize: -1}},
		{"page_token", &pb.SearchLotsRequest{PageToken: "nonsense"}},
		{"order", &pb.SearchLotsRequest{Order: 9}},
		{"order", &pb.SearchLotsRequest{Order: pb.LotOrder_LOT_ORDER_NEAREST}},
		{"filter.near.place", &pb.SearchLotsRequest{Filter: &pb.LotFilter{Near: &pb.Near{Place: "Springfield"}}}},
		{"filter.near.place", &pb.SearchLotsRequest{Filter: &pb.LotFilter{Near: &pb.Near{}}}},
		{"filter.near.point", &pb.SearchLotsRequest{Filter: &pb.LotFilter{Near: &pb.Near{Point: &pb.Point{Latitude: 91}}}}},
		{"filter.words", &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: strings.Repeat("a ", 65)}}},
	} {
		_, err := r.search.SearchLots(t.Context(), c.req)
		reason := server.ReasonInvalid
		if c.field == "page_token" {
			reason = server.ReasonPageToken
		}
		if fields := refused(t, err, codes.InvalidArgument, reason); fields[c.field] == "" {
			t.Errorf("%v: fields %v, want %s", c.req, fields, c.field)
		}
	}
}

func TestSearchPagesAndTokens(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	var change uint64
	for i := range 7 {
		_, change = r.lot(t, shop, platen(fmt.Sprint("p", i)))
	}
	req := &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: "platen"}, Order: pb.LotOrder_LOT_ORDER_NEWEST, PageSize: 3, AtLeastChange: change}
	var tags []string
	token := ""
	for {
		req.PageToken = token
		got, err := r.search.SearchLots(t.Context(), req)
		if err != nil {
			t.Fatal(err)
		}
		if got.GetTotalSize() != 7 || got.GetChange() < change {
			t.Errorf("total %d at change %d", got.GetTotalSize(), got.GetChange())
		}
		for _, h := range got.GetHits() {
			tags = append(tags, h.GetLot().GetTag())
		}
		if token = got.GetNextPageToken(); token == "" {
			break
		}
	}
	if want := []string{"p6", "p5", "p4", "p3", "p2", "p1", "p0"}; !slices.Equal(tags, want) {
		t.Errorf("pages gave %v", tags)
	}
	first, _ := r.search.SearchLots(t.Context(), &pb.SearchLotsRequest{Filter: req.GetFilter(), Order: req.GetOrder(), PageSize: 1})
	_, err := r.search.SearchLots(t.Context(), &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: "jobber"}, Order: req.GetOrder(), PageToken: first.GetNextPageToken()})
	refused(t, err, codes.InvalidArgument, server.ReasonPageToken)
}

func TestASearchForTheFutureTimesOut(t *testing.T) {
	r := open(t)
	ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
	defer cancel()
	_, err := r.search.SearchLots(ctx, &pb.SearchLotsRequest{AtLeastChange: 1 << 40})
	if code := codeOf(err); code != codes.DeadlineExceeded {
		t.Errorf("got %v", err)
	}
}

// The index is derived: without it, or with a damaged one, the registry builds
// it again and answers the same; so it does when the store was put back to an
// earlier day.
func TestALostIndexIsBuiltAgain(t *testing.T) {
	dir := t.TempDir()
	r := openIn(t, dir)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	r.lot(t, shop, platen("p1"))
	_, change := r.lot(t, shop, platen("p2"))
	want := r.find(t, &pb.LotFilter{Words: "platen"}, change)
	r.stop()
	earlier, then := copyOf(t, filepath.Join(dir, "registry.db")), want

	for name, spoil := range map[string]func(){
		"removed": func() { os.RemoveAll(filepath.Join(dir, "index")) },
		"damaged": func() { scribble(t, filepath.Join(dir, "index")) },
	} {
		spoil()
		r = openIn(t, dir)
		if got := r.find(t, &pb.LotFilter{Words: "platen"}, 0); !slices.Equal(got, want) {
			t.Errorf("index %s: found %v, want %v", name, got, want)
		}
		_, change = r.lot(t, shop, platen("after-"+name))
		want = r.find(t, &pb.LotFilter{Words: "platen"}, change)
		if !slices.Contains(want, "after-"+name) {
			t.Errorf("index %s: a later lot is not found: %v", name, want)
		}
		r.stop()
	}

	if err := os.WriteFile(filepath.Join(dir, "registry.db"), earlier, 0o600); err != nil {
		t.Fatal(err)
	}
	r = openIn(t, dir)
	deadline := time.Now().Add(10 * time.Second)
	for got := []string(nil); !slices.Equal(got, then); {
		if got = r.find(t, &pb.LotFilter{Words: "platen"}, 0); time.Now().After(deadline) {
			t.Fatalf("store put back: found %v, want %v", got, then)
		}
	}
}

func copyOf(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// scribble overwrites the middle of every file below a folder.
func scribble(t *testing.T, dir string) {
	t.Helper()
	err := filepath.Walk(dir, func(path string, info os.FileInfo, err error) error {
		if err != nil || info.IsDir() || info.Size() < 64 {
			return err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for i := len(b) / 3; i < 2*len(b)/3; i++ {
			b[i] ^= 0x5a
		}
		return os.WriteFile(path, b, info.Mode())
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestOneProcessHasAFolder(t *testing.T) {
	dir := t.TempDir()
	r := openIn(t, dir)
	ctx, cancel := context.WithTimeout(t.Context(), 100*time.Millisecond)
	defer cancel()
	_, err := server.Open(ctx, server.Config{Dir: dir})
	if busy := (*server.BusyError)(nil); !asBusy(err, &busy) || busy.Dir != dir {
		t.Errorf("got %v", err)
	}
	r.stop()
	openIn(t, dir)
}

// Everything is there after a restart, tokens and request IDs too.
func TestARestartForgetsNothing(t *testing.T) {
	dir := t.TempDir()
	r := openIn(t, dir)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	r.lot(t, shop, platen("p1"))
	req := &pb.CreateLotRequest{Parent: shop.GetName(), Lot: platen("p2"), RequestId: "once"}
	first, err := r.lots.CreateLot(t.Context(), req)
	if err != nil {
		t.Fatal(err)
	}
	page, err := r.lots.ListLots(t.Context(), &pb.ListLotsRequest{Parent: shop.GetName(), PageSize: 1})
	if err != nil {
		t.Fatal(err)
	}
	r.stop()
	r = openIn(t, dir)
	again, err := r.lots.CreateLot(t.Context(), req)
	if err != nil || !proto.Equal(first, again) {
		t.Errorf("the repeat after a restart: %v, %v", again, err)
	}
	rest, err := r.lots.ListLots(t.Context(), &pb.ListLotsRequest{Parent: shop.GetName(), PageToken: page.GetNextPageToken()})
	if err != nil || len(rest.GetLots()) != 1 {
		t.Errorf("the second page after a restart: %v, %v", rest, err)
	}
}

// Words that say more than words are read where the caller asks for it, and the
// answer says how; what the filter gives wins.
func TestWordsAreUnderstood(t *testing.T) {
	r := open(t)
	_, change := r.lot(t, r.shop(t, "Marrowby", "Dayton, OH"), platen("p1"))
	ask := func(words string, understand bool) *pb.SearchLotsResponse {
		t.Helper()
		got, err := r.search.SearchLots(t.Context(), &pb.SearchLotsRequest{
			Filter: &pb.LotFilter{Words: words}, AtLeastChange: change, UnderstandWords: understand,
		})
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	got := ask("platen within 200 miles of Toledo", true)
	if got.GetTotalSize() != 1 || got.GetNearTown().GetLabel() != "Toledo, OH" || got.GetHits()[0].RoadMiles == nil {
		t.Errorf("found %v near %v", got.GetHits(), got.GetNearTown())
	}
	if want := `Understood as "platen", within 200 mi by road of Toledo, OH.`; got.GetUnderstoodAs() != want || got.GetSearched().GetWords() != "platen" {
		t.Errorf("understood as %q, searched by %v", got.GetUnderstoodAs(), got.GetSearched())
	}
	if got := ask("platen in England", true); got.GetTotalSize() != 0 {
		t.Errorf("a lot in Ohio was found in %v", got.GetSearched())
	}
	if got := ask("platen within 200 miles of Toledo", false); got.GetTotalSize() != 0 || got.GetUnderstoodAs() != "" {
		t.Errorf("understood unasked: %q", got.GetUnderstoodAs())
	}
}

// A word that no lot has is mended, and the answer says so.
func TestSlipsAreMended(t *testing.T) {
	r := open(t)
	_, change := r.lot(t, r.shop(t, "Marrowby", "Dayton, OH"), platen("p1"))
	got, err := r.search.SearchLots(t.Context(), &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: "platten"}, AtLeastChange: change})
	if err != nil {
		t.Fatal(err)
	}
	if m := got.GetMendedWords(); got.GetTotalSize() != 1 || len(m) != 1 || m[0].GetTyped() != "platten" || m[0].GetTaken() != "platen" {
		t.Errorf("found %d, mended %v", got.GetTotalSize(), m)
	}
}

// Where little is found, the answer says what would find more, if it is asked.
func TestWhatWouldFindMore(t *testing.T) {
	r := open(t)
	_, change := r.lot(t, r.shop(t, "Marrowby", "Dayton, OH"), platen("p1"))
	req := &pb.SearchLotsRequest{
		Filter:        &pb.LotFilter{Words: "platen", Near: &pb.Near{Place: "Toledo, OH", WithinRoadKm: proto.Float64(150)}},
		AtLeastChange: change, Suggest: true,
	}
	got, err := r.search.SearchLots(t.Context(), req)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.GetRelax()) != 1 || got.GetRelax()[0].GetMore() != 1 || got.GetRelax()[0].GetField() != "near.within_road_km" {
		t.Fatalf("relax %v", got.GetRelax())
	}
	again, err := r.search.SearchLots(t.Context(), &pb.SearchLotsRequest{Filter: got.GetRelax()[0].GetFilter()})
	if err != nil || again.GetTotalSize() != 1 {
		t.Errorf("its filter finds %d, %v", again.GetTotalSize(), err)
	}
	req.Suggest = false
	if got, err := r.search.SearchLots(t.Context(), req); err != nil || len(got.GetRelax()) > 0 {
		t.Errorf("told unasked: %v, %v", got.GetRelax(), err)
	}
}

// Pages go on as they were understood, and not otherwise.
func TestUnderstoodPages(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	r.lot(t, shop, platen("p1"))
	_, change := r.lot(t, shop, platen("p2"))
	req := &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: "platen near Toledo, OH"}, UnderstandWords: true, PageSize: 1, AtLeastChange: change}
	first, err := r.search.SearchLots(t.Context(), req)
	if err != nil || first.GetNextPageToken() == "" {
		t.Fatalf("%v, %v", first, err)
	}
	req.PageToken = first.GetNextPageToken()
	second, err := r.search.SearchLots(t.Context(), req)
	if err != nil || len(second.GetHits()) != 1 || second.GetHits()[0].GetLot().GetTag() == first.GetHits()[0].GetLot().GetTag() {
		t.Errorf("the second page is %v, %v", second.GetHits(), err)
	}
	req.UnderstandWords = false
	_, err = r.search.SearchLots(t.Context(), req)
	refused(t, err, codes.InvalidArgument, server.ReasonPageToken)
}

// All that is found is counted by kind, class and region, where it is asked.
func TestFacets(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	r.lot(t, shop, platen("p1"))
	_, change := r.lot(t, shop, platen("p2"))
	req := &pb.SearchLotsRequest{AtLeastChange: change, PageSize: 1, Facets: true}
	got, err := r.search.SearchLots(t.Context(), req)
	if err != nil {
		t.Fatal(err)
	}
	two := func(values ...string) []*pb.FacetCount {
		var counts []*pb.FacetCount
		for _, value := range values {
			counts = append(counts, &pb.FacetCount{Value: value, Count: 2})
		}
		return counts
	}
	want := &pb.Facets{Kinds: two("KIND_PRESS"), Classes: two("CLASS_PLATEN_JOBBER"), Regions: two("US", "US/OH"), States: two("LOT_STATE_OFFERED")}
	if !proto.Equal(got.GetFacets(), want) {
		t.Errorf("counted %v", got.GetFacets())
	}
}
