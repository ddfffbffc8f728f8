package search

import (
	"cmp"
	"context"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/RoaringBitmap/roaring/v2"

	pb "heirpress/proto/heirpress/v1"
)

// mostRegions is how many regions facets list, as search.proto states it.
const mostRegions = 100

// facets counts what was found by the terms of what lots are, without looking
// at any lot.
func (r *run) facets(ctx context.Context) (*pb.Facets, error) {
	t := &tally{counts: map[string]int{}}
	err := r.each(ctx, func(s *scope) error {
		for _, letter := range []string{"k", "c", "r", "s"} {
			if err := t.add(s, letter); err != nil {
				return err
			}
		}
		return nil
	})
	byRegion := facetCounts(t.of("r"), func(value string) string { return value })
	return &pb.Facets{
		Kinds:   facetCounts(t.of("k"), func(value string) string { return nameOf(pb.Kind_name, value) }),
		Classes: facetCounts(t.of("c"), func(value string) string { return nameOf(pb.Class_name, value) }),
		Regions: byRegion[:min(mostRegions, len(byRegion))],
		States:  facetCounts(t.of("s"), func(value string) string { return nameOf(pb.LotState_name, value) }),
	}, err
}

// tally counts the terms of isField among the documents found, from many
// goroutines.
type tally struct {
	mu     sync.Mutex
	counts map[string]int
}

// add counts the terms that begin with a letter.
func (t *tally) add(s *scope, letter string) error {
	return eachTerm(s.segment.Segment(), isField, beginningWith(letter), func(term string, docs *roaring.Bitmap) {
		if n := s.bitmap().AndCardinality(docs); n > 0 {
			t.mu.Lock()
			t.counts[term] += int(n)
			t.mu.Unlock()
		}
	})
}

// of is the counts of one letter, without it.
func (t *tally) of(letter string) map[string]int {
	counts := map[string]int{}
	for term, n := range t.counts {
		if value, ok := strings.CutPrefix(term, letter); ok {
			counts[value] = n
		}
	}
	return counts
}

// nameOf is the contract's name for a number, but for the one that says nothing.
func nameOf(names map[int32]string, number string) string {
	n, _ := strconv.Atoi(number)
	if n == 0 {
		return ""
	}
	return names[int32(n)]
}

// facetCounts lists counts, the largest first, by the names that are not empty.
func facetCounts(counts map[string]int, name func(string) string) []*pb.FacetCount {
	var list []*pb.FacetCount
	for value, count := range counts {
		if value = name(value); value != "" {
			list = append(list, &pb.FacetCount{Value: value, Count: int32(count)})
		}
	}
	slices.SortFunc(list, func(a, b *pb.FacetCount) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.Value, b.Value))
	})
	return list
}
