package place

import (
	"sync"

	"heirpress/search/place/internal/gaz"
)

// FewPeople is below how many people a place is too small to be named of somebody
// who does not want to be found: in a hamlet everybody knows the house with the
// press. A thousand is what GeoNames' list of towns begins at.
const FewPeople = 1000

// Wide is a town itself, or, where it has fewer than FewPeople or nobody knows how
// many, the nearest town that has as many. All places around a town become that
// one town, so that a search can tell none of them from another.
func Wide(t Town) Town {
	if t.Population >= FewPeople {
		return t
	}
	town, _ := peopledGrid().nearest(t.Point)
	return townAt(town)
}

// peopledGrid holds the towns of FewPeople and more.
var peopledGrid = sync.OnceValue(func() *grid {
	return gridOf(func(r gaz.Record) bool { return !r.Postal && r.Population >= FewPeople })
})
