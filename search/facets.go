package search

import (
	"cmp"
	"context"
	"slices"
	"strconv"

	pb "heirpress/proto/heirpress/v1"
)

// mostRegions is how many regions facets list, as search.proto states it.
const mostRegions = 100

// facets counts what was found by the terms of what lots are, without looking
// at any lot.
func (r *run) facets(ctx context.Context) (*pb.Facets, error) {
	kinds, classes, regions := map[string]int{}, map[string]int{}, map[string]int{}
	for _, s := range r.scopes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := s.countTerms("k", kinds); err != nil {
			return nil, err
		}
		if err := s.countTerms("c", classes); err != nil {
			return nil, err
		}
		if err := s.countTerms("r", regions); err != nil {
			return nil, err
		}
	}
	byRegion := facetCounts(regions, func(value string) string { return value })
	return &pb.Facets{
		Kinds:   facetCounts(kinds, func(value string) string { return nameOf(pb.Kind_name, value) }),
		Classes: facetCounts(classes, func(value string) string { return nameOf(pb.Class_name, value) }),
		Regions: byRegion[:min(mostRegions, len(byRegion))],
	}, nil
}

// countTerms adds up how many of the found documents have each term of isField
// that begins with a letter.
func (s *scope) countTerms(letter string, counts map[string]int) error {
	dictionary, err := s.segment.Segment().Dictionary(isField)
	if err != nil {
		return err
	}
	last := []byte{letter[0] + 1}
	terms := dictionary.AutomatonIterator(nil, []byte(letter), last)
	for {
		entry, err := terms.Next()
		if err != nil || entry == nil {
			return err
		}
		postings, err := s.postings(fieldTerm{isField, entry.Term})
		if err != nil {
			return err
		}
		if n := s.found.AndCardinality(bitmapOf(postings)); n > 0 {
			counts[entry.Term[1:]] += int(n)
		}
	}
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
