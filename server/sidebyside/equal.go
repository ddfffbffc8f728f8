package main

import (
	"fmt"
	"maps"
	"math"
	"slices"
)

// verdict is how the answers of two engines compare.
type verdict struct {
	same, of int
	// first tells of the first two that differ; empty if none do.
	first string
}

// compare holds answers to the same searches against each other.
func compare(ours, theirs []*answer, how likeness) verdict {
	var v verdict
	for i := range min(len(ours), len(theirs)) {
		if theirs[i] == nil {
			continue // not checked
		}
		v.of++
		difference := differ(ours[i], theirs[i], how)
		if difference == "" {
			v.same++
		} else if v.first == "" {
			v.first = fmt.Sprintf("search %d: %s", i, difference)
		}
	}
	return v
}

// differ tells how two answers differ; empty if they do not.
func differ(ours, theirs *answer, how likeness) string {
	switch {
	case how == alikeSlips && ours.taken != theirs.taken:
		return fmt.Sprintf("taken for %q, and here for %q", ours.taken, theirs.taken)
	case ours.facets != nil && !sameFacets(ours.facets, theirs.facets):
		return "sorted otherwise"
	case ours.total != theirs.total:
		return fmt.Sprintf("%d found, and here %d", ours.total, theirs.total)
	case how == alikeOrder && ours.km != nil:
		return differInKm(ours, theirs)
	case theirs.names != nil && len(ours.names) != len(theirs.names):
		return fmt.Sprintf("%d on the page, and here %d", len(ours.names), len(theirs.names))
	case how == alikeOrder && !slices.Equal(ours.names, theirs.names):
		for i := range ours.names {
			if ours.names[i] != theirs.names[i] {
				return fmt.Sprintf("hit %d is %s, and here %s", i, ours.names[i], theirs.names[i])
			}
		}
	}
	return ""
}

// Two distances are the same where they differ by no more than a metre or a
// millionth: what comes of reckoning them in another way.
const (
	kmOff    = 0.001
	kmOffPer = 1e-6
)

func differInKm(ours, theirs *answer) string {
	for i, km := range ours.km {
		if i >= len(theirs.km) || !sameKm(km, theirs.km[i]) {
			return fmt.Sprintf("hit %d of %d is %.3f km off; here they are %.3f", i, len(ours.km), km, theirs.km)
		}
	}
	return ""
}

// sameKm takes it that what is infinitely far is so in both.
func sameKm(a, b float64) bool {
	return a == b || math.Abs(a-b) <= kmOff+kmOffPer*min(a, b)
}

// mostRegions is how many regions heirpress counts; the least are left out.
const mostRegions = 100

// sameFacets tells whether all that the first counts, the second counts alike,
// and the second has no more but for regions beyond the most.
func sameFacets(ours, theirs map[string]int) bool {
	for what, n := range ours {
		if theirs[what] != n {
			return false
		}
	}
	regions := 0
	for what := range maps.Keys(ours) {
		if isRegion(what) {
			regions++
		}
	}
	for what := range theirs {
		if _, ok := ours[what]; !ok && (!isRegion(what) || regions < mostRegions) {
			return false
		}
	}
	return true
}

// isRegion tells a region from the name of a kind or class, which is longer than
// a country's two letters and in capitals before its first stroke.
func isRegion(what string) bool { return len(what) == 2 || len(what) > 2 && what[2] == '/' }

// String is the verdict in the table.
func (v verdict) String() string {
	switch {
	case v.of == 0:
		return "not compared"
	case v.same == v.of:
		return fmt.Sprintf("yes, %d of %d", v.same, v.of)
	}
	return fmt.Sprintf("%d of %d", v.same, v.of)
}
