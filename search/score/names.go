package score

import (
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// longestName leaves room for a number within the 40 characters of a want's id.
const longestName = 36

// NameWants gives every want without an id one that is made from its title and
// that no other want has. The same wants always get the same ids, on a seeker's
// own machine and in a registry.
func NameWants(wants []*pb.Want) {
	for _, w := range wants {
		if w != nil && w.GetId() == "" {
			w.Id = freeName(w.GetTitle(), wants)
		}
	}
}

func freeName(title string, wants []*pb.Want) string {
	base := trade.Slug(title)
	if base = strings.TrimRight(base[:min(len(base), longestName)], "-"); base == "" {
		base = "want"
	}
	name := base
	for n := 2; slices.ContainsFunc(wants, func(w *pb.Want) bool { return w.GetId() == name }); n++ {
		name = fmt.Sprintf("%s-%d", base, n)
	}
	return name
}
