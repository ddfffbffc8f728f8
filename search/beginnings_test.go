package search

import (
	"context"
	"slices"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// What beginnings find among a few lots, by their tags.
func TestBeginnings(t *testing.T) {
	lots := map[string]*pb.Lot{
		"a": {Title: "Corwen platen jobber"},
		"b": {Title: "Plates for a printer"},
		"c": {Title: "Halvorsen KR15", Description: "with two rollers"},
		"d": {Title: "Halvorsen KR-12"},
		"e": {Title: "Presse à épreuves"},
		"f": {Title: "Fount of gothic"},
		"g": {Title: "Corwen", SizeAsWritten: "10x15"},
	}
	x := openIndex(t, t.TempDir())
	var puts []*pb.Lot
	for tag, lot := range lots {
		lot.Name, lot.Tag, lot.State = "shops/s/lots/"+tag, tag, pb.LotState_LOT_STATE_OFFERED
		puts = append(puts, lot)
	}
	if err := x.Apply(context.Background(), 1, puts, nil); err != nil {
		t.Fatal(err)
	}
	for words, want := range map[string]string{
		"plat*":           "a b",
		"PLATE*":          "a b",
		"plat* job*":      "a",
		"corw* platen":    "a",
		"KR1*":            "c d",
		"kr 15 hal*":      "c",
		"rollers*":        "c",
		"épreu*":          "e",
		"epreu*":          "e",
		"foun*":           "f",
		"nothing*":        "",
		"gothic * ":       "f", // a star alone says nothing
		"halv*, platen":   "",
		"plat* plat* a-*": "a b",
		"10*15 corw*":     "g",
	} {
		result, err := x.Search(context.Background(), Query{Filter: &pb.LotFilter{Words: words}, Limit: 10})
		if err != nil {
			t.Errorf("%q: %v", words, err)
			continue
		}
		var got []string
		for _, hit := range result.Hits {
			got = append(got, strings.TrimPrefix(hit.Name, "shops/s/lots/"))
		}
		slices.Sort(got)
		if strings.Join(got, " ") != want {
			t.Errorf("%q finds %v, not %s", words, got, want)
		}
	}
}

// A beginning too short to go by is named.
func TestShortBeginnings(t *testing.T) {
	for _, words := range []string{"p*", "platen p*", "7*"} {
		v := Validate(&pb.LotFilter{Words: words})
		if len(v) == 0 || v[0].Field != "words" || !strings.Contains(v[0].Description, "before the star") {
			t.Errorf("%q: %v", words, v)
		}
	}
}
