package search

import (
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// Every name in the list is a region to package place, and a valid filter.
func TestRegionsAreKnown(t *testing.T) {
	for name := range strings.SplitSeq(regionNames, ",") {
		name = strings.ToLower(strings.TrimSpace(name))
		region := regions()[name]
		if region == "" || len(Validate(&pb.LotFilter{Regions: []string{region}})) > 0 {
			t.Errorf("%s is the region %q", name, region)
		}
	}
	for name, want := range map[string]string{"ohio": "US/OH", "england": "GB/England", "uk": "GB", "deutschland": "DE", "ontario": "CA/ON"} {
		if regions()[name] != want {
			t.Errorf("%s is %q, not %q", name, regions()[name], want)
		}
	}
}
