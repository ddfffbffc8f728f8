package main

import (
	"math"

	"heirpress/search/place/internal/gaz"
)

// deliver gives each ZIP code to the town that the post names, and adds a town
// where the post knows one that GeoNames, which stops at about 500 people, does
// not. Such a place lies in the middle of its codes.
func (a *atlas) deliver(zips []zip) {
	for _, z := range zips {
		e := a.postTown(z)
		if e == nil {
			e = &entry{
				Town: gaz.Town{Name: z.name, Country: "US", County: postalCounty(z), Postal: true},
				at:   z.at, admin1: z.state, admin2: z.county,
			}
			a.add(e)
		}
		e.ZIPs = append(e.ZIPs, z.code)
	}
}

// postTown is the town that a ZIP code's place name means: the nearest so
// called in the state, or failing that one that has it as a further name.
func (a *atlas) postTown(z zip) *entry {
	const far, near = 60.0, 25.0 // km
	key := gaz.Key(z.name)
	var best *entry
	km := far
	for _, e := range a.byName["US"+key] {
		if d := z.at.km(e.at); !e.gone && e.key == key && e.admin1 == z.state && d < km {
			best, km = e, d
		}
	}
	if best != nil {
		return best
	}
	return a.grid.nearest(z.at, near, func(e *entry) bool {
		return !e.gone && e.Country == "US" && e.admin1 == z.state && e.answersTo(key)
	})
}

func round4(degrees float64) float64 { return math.Round(degrees*1e4) / 1e4 }
