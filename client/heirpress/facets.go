package main

import (
	"fmt"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// mostCounts is how many counts a line has that nobody asked for.
const mostCounts = 4

// countLine is the counts of one sort, as a line says them.
type countLine struct {
	by     string
	counts []*pb.FacetCount
	word   func(value string) string
}

// countLines are the lines, in their order.
func countLines(f *pb.Facets) []countLine {
	return []countLine{
		{"kind", f.GetKinds(), func(value string) string { return trade.KindWord(pb.Kind(pb.Kind_value[value])) }},
		{"class", f.GetClasses(), func(value string) string { return trade.ClassWord(pb.Class(pb.Class_value[value])) }},
		{"state", f.GetStates(), func(value string) string { return trade.StateWord(pb.LotState(pb.LotState_value[value])) }},
		{"region", f.GetRegions(), func(value string) string { return value }},
	}
}

// tellFacets counts what was found: every count as part of the answer, where that
// was asked, or else in a short note what there is more than one of, but for
// regions.
func (a *app) tellFacets(got *pb.SearchLotsResponse, asked bool) error {
	switch {
	case asked && a.json:
		return a.printJSON(&pb.SearchLotsResponse{Facets: got.GetFacets(), TotalSize: got.GetTotalSize()})
	case a.json:
		return nil
	}
	for _, line := range countLines(got.GetFacets()) {
		switch {
		case asked && len(line.counts) > 0:
			a.printf("%s\n", line.say(len(line.counts)))
		case !asked && len(line.counts) > 1 && line.by != "region":
			a.note("%s", line.say(mostCounts))
		}
	}
	return nil
}

// say writes the first so many counts, and how many more sorts there are.
func (l countLine) say(most int) string {
	var said []string
	for _, c := range l.counts[:min(most, len(l.counts))] {
		said = append(said, fmt.Sprintf("%s %d", l.word(c.GetValue()), c.GetCount()))
	}
	more := ""
	if n := len(l.counts) - most; n > 0 {
		more = fmt.Sprintf(", and %d more; --facets lists all", n)
	}
	return fmt.Sprintf("By %s: %s%s.", l.by, strings.Join(said, ", "), more)
}
