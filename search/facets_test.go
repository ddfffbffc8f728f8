package search

import (
	"context"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

// Facets count what the truth finds, whatever page is asked for.
func TestFacetsEqualTruth(t *testing.T) {
	d, x, all := newDice(41), openIndex(t, t.TempDir()), newTruth()
	change := uint64(0)
	for range 3 {
		change = stir(t, d, x, all, change)
		for range 30 {
			f := d.filter()
			kinds, classes, regions, states := map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}
			for _, found := range all.search(f, 0) {
				kinds[found.facts.kind.String()]++
				classes[found.facts.class.String()]++
				states[found.facts.state.String()]++
				for _, region := range found.facts.regions {
					regions[region]++
				}
			}
			said := func(value string) string {
				if value == "KIND_UNSPECIFIED" || value == "CLASS_UNSPECIFIED" {
					return ""
				}
				return value
			}
			want := &pb.Facets{Kinds: facetCounts(kinds, said), Classes: facetCounts(classes, said), Regions: facetCounts(regions, said), States: facetCounts(states, said)}
			for _, limit := range []int{0, 5} {
				result, err := x.Search(context.Background(), Query{Filter: f, Limit: limit, Facets: true})
				if err != nil {
					t.Fatal(err)
				}
				if !proto.Equal(result.Facets, want) {
					t.Fatalf("%v: %v\nnot %v", f, result.Facets, want)
				}
			}
		}
	}
	if result, err := x.Search(context.Background(), Query{}); err != nil || result.Facets != nil {
		t.Errorf("counted unasked: %v, %v", result.Facets, err)
	}
}
