package main

import (
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/server/sidebyside/lots"
)

// Each family has hundreds of searches, nearly all of them different, every one
// valid, and the same for the same seed.
func TestFamilies(t *testing.T) {
	const many = 300
	s, again := searches{lots.New(1), 1, 20_000}, searches{lots.New(1), 1, 20_000}
	for _, f := range families {
		seen := map[string]bool{}
		for n := range many {
			r := s.of(f, n)
			if v := search.Validate(r.GetFilter()); len(v) > 0 {
				t.Fatalf("%s, search %d is not valid: %v", f.name, n, v)
			}
			if _, err := questionOf(r); err != nil {
				t.Fatalf("%s, search %d: %v", f.name, n, err)
			}
			if !proto.Equal(r, again.of(f, n)) {
				t.Fatalf("%s, search %d is not the same again", f.name, n)
			}
			seen[r.String()] = true
		}
		if len(seen) < 50 || len(seen) < many*2/3 {
			t.Errorf("%s: only %d of %d searches are different", f.name, len(seen), many)
		}
		if f.flag() == "" || strings.Contains(f.flag(), ",") {
			t.Errorf("%s is called %q in a call", f.name, f.flag())
		}
	}
}

// A search is of the shape that its family's name says.
func TestShapes(t *testing.T) {
	s := searches{lots.New(1), 1, 20_000}
	for name, right := range map[string]func(r *pb.SearchLotsRequest, q *question) bool{
		"two words": func(_ *pb.SearchLotsRequest, q *question) bool { return len(q.tokens) > 0 && q.order == byRank },
		"text, kind, 150 miles": func(_ *pb.SearchLotsRequest, q *question) bool {
			return len(q.tokens) == 1 && len(q.kinds) == 1 && q.withinKm > 0
		},
		"nearest of all":       func(_ *pb.SearchLotsRequest, q *question) bool { return q.order == byDistance && len(q.kinds) == 0 },
		"nearest of a kind":    func(_ *pb.SearchLotsRequest, q *question) bool { return q.order == byDistance && len(q.kinds) == 1 },
		"slips":                func(_ *pb.SearchLotsRequest, q *question) bool { return len(q.tokens) == 1 && q.order == byRank },
		"prefix":               func(_ *pb.SearchLotsRequest, q *question) bool { return len(q.beginning) >= 3 && q.order == byRank },
		"half of all":          func(_ *pb.SearchLotsRequest, q *question) bool { return slices.Equal(q.tokens, []string{"type"}) },
		"broadest with facets": func(r *pb.SearchLotsRequest, q *question) bool { return q.facets && !q.hasWords() && len(q.kinds) == 0 },
		"sheet and weight":     func(_ *pb.SearchLotsRequest, q *question) bool { return q.sheet != nil && q.mostKg > 0 },
		"newest":               func(_ *pb.SearchLotsRequest, q *question) bool { return q.order == byNewest && !q.hasWords() },
	} {
		f := familyNamed(name)
		for n := range 20 {
			r := s.of(f, n)
			if q, err := questionOf(r); err != nil || !right(r, q) {
				t.Errorf("%s, search %d is %v (%v)", name, n, r, err)
			}
		}
	}
}

// A word with a star is told from whole words, and what its plural comes to is
// found too; two stars are refused.
func TestQuestionsOfWords(t *testing.T) {
	for _, c := range []struct {
		words            string
		tokens           []string
		beginning, whole string
		refused          bool
	}{
		{"Platens KR15", []string{"platen", "kr", "15"}, "", "", false},
		{"gothic plat*", []string{"gothic"}, "plat", "", false},
		{"ends*", nil, "ends", "end", false},
		{"pla* pre*", nil, "", "", true},
	} {
		q, err := questionOf(&pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: c.words}})
		if (err != nil) != c.refused {
			t.Errorf("%q: %v", c.words, err)
		}
		if err == nil && (!slices.Equal(q.tokens, c.tokens) || q.beginning != c.beginning || q.whole != c.whole) {
			t.Errorf("%q: got %v, %q, %q", c.words, q.tokens, q.beginning, q.whole)
		}
	}
}
