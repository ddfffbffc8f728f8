package search

import (
	"context"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// The lots of each case are in the order in which a search for "platen" should
// have them, the last of all posted latest.
func TestBestFirst(t *testing.T) {
	long := "The shop stood by the river since 1950, and all its founts, cases and galleys are in order. Beside the window stands a platen."
	cases := map[string][]*pb.Lot{
		"by where the word stands": {
			{Title: "Corwen platen"}, {Title: "Corwen", Tag: "platen"}, {Title: "Corwen", ShopTitle: "Platen Press"},
			{Title: "Corwen", Description: "A platen."}, {Title: "Corwen jobber"},
		},
		"by how often":      {{Title: "Platen, parts of a platen"}, {Title: "Platen, parts of a press"}},
		"by how much else":  {{Title: "Corwen", Description: "A platen."}, {Title: "Corwen", Description: long}},
		"by make and model": {{Title: "Halvorsen", Make: "Platen"}, {Title: "Halvorsen", Description: "A platen."}},
	}
	for name, lots := range cases {
		x := openIndex(t, t.TempDir())
		for i, lot := range lots {
			lot.Name, lot.State, lot.Revision = "shops/a/lots/"+string(rune('a'+i)), pb.LotState_LOT_STATE_OFFERED, uint64(i+1)
		}
		if err := x.Apply(context.Background(), 9, lots, nil); err != nil {
			t.Fatal(err)
		}
		result, err := x.Search(context.Background(), Query{Filter: &pb.LotFilter{Words: "platen"}, Limit: 10})
		if err != nil {
			t.Fatal(err)
		}
		if len(result.Hits) != len(lots) {
			t.Fatalf("%s: %d hits, not %d", name, len(result.Hits), len(lots))
		}
		for i, hit := range result.Hits {
			if hit.Name != lots[i].Name || (i > 0 && hit.Score >= result.Hits[i-1].Score) {
				t.Errorf("%s: hit %d is %s with score %v", name, i, hit.Name, hit.Score)
			}
		}
	}
}

// A rare word says more than a common one.
func TestRarity(t *testing.T) {
	if few, many := rarity(1, 100), rarity(99, 100); few <= many || many <= 0 {
		t.Errorf("one in a hundred: %v, all but one: %v", few, many)
	}
}
