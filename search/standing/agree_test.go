package standing_test

import (
	"flag"
	"fmt"
	"slices"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/standing"
)

// agreeSeed repeats a run of TestSearchAndStandingWantsAgree.
var agreeSeed = flag.Uint64("agree-seed", 0, "the seed of TestSearchAndStandingWantsAgree; 0: by the clock")

// The three ways to put a filter to lots agree: what an index finds, what Matches
// lets pass, and what the standing wants say is met; on 250 lots and 200 filters,
// 50,000 cases.
func TestSearchAndStandingWantsAgree(t *testing.T) {
	const lots, filters = 250, 200
	seed := uint64(time.Now().UnixNano())
	if *agreeSeed > 0 {
		seed = *agreeSeed
	}
	t.Logf("seed %d", seed)
	d := newDice(seed)
	x, err := search.Open(t.TempDir(), search.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	all := make([]*pb.Lot, lots)
	for i := range all {
		all[i] = d.lot(fmt.Sprint("a-", i))
	}
	if err := x.Apply(t.Context(), 1, all, nil); err != nil {
		t.Fatal(err)
	}
	asked, w := make([]*pb.LotFilter, filters), standing.New()
	for i := range asked {
		for asked[i] = d.filter(); len(search.Validate(asked[i])) > 0; asked[i] = d.filter() {
		}
		w.Put(uint64(i), []standing.Ask{{Filter: asked[i]}})
	}
	met := map[string][]uint64{}
	for _, l := range all {
		for _, m := range w.Meeting(search.Read(l), nil) {
			met[l.GetName()] = append(met[l.GetName()], m.List)
		}
	}
	for i, f := range asked {
		found := find(t, x, f)
		for _, l := range all {
			matches, _ := search.Matches(f, l)
			finds, meets := slices.Contains(found, l.GetName()), slices.Contains(met[l.GetName()], uint64(i))
			if matches != finds || matches != meets {
				t.Fatalf("%v\n%v\nmatches %t, is found %t, is met %t", f, l, matches, finds, meets)
			}
		}
	}
}

func find(t *testing.T, x *search.Index, f *pb.LotFilter) (names []string) {
	t.Helper()
	result, err := x.Search(t.Context(), search.Query{Filter: f, Order: pb.LotOrder_LOT_ORDER_NEWEST, Limit: 1000})
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range result.Hits {
		names = append(names, h.Name)
	}
	return names
}
