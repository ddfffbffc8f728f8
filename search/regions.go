package search

import (
	"errors"
	"slices"
	"strings"
	"sync"

	"heirpress/search/place"
)

// regionNames are the states, provinces and countries that people name in a
// search, as package place knows them: looking up every word after "in" would
// take too long.
const regionNames = `
Alabama, Alaska, Arizona, Arkansas, California, Colorado, Connecticut, Delaware, Florida, Georgia, Hawaii, Idaho, Illinois, Indiana,
Iowa, Kansas, Kentucky, Louisiana, Maine, Maryland, Massachusetts, Michigan, Minnesota, Mississippi, Missouri, Montana, Nebraska,
Nevada, New Hampshire, New Jersey, New Mexico, North Carolina, North Dakota, Ohio, Oklahoma, Oregon, Pennsylvania, Rhode Island,
South Carolina, South Dakota, Tennessee, Texas, Utah, Vermont, Virginia, West Virginia, Wisconsin, Wyoming,
Alberta, British Columbia, Manitoba, New Brunswick, Nova Scotia, Ontario, Saskatchewan,
England, Scotland, Wales, Northern Ireland, UK, United Kingdom, Great Britain, Ireland, USA, United States, Canada, Mexico,
Germany, Deutschland, Austria, Switzerland, Netherlands, Holland, Belgium, France, Spain, Italy, Portugal, Denmark, Norway, Sweden,
Finland, Poland, Hungary, Greece, Australia, New Zealand, Japan, India, Brazil, South Africa`

// regions has for each name, in small letters, the region as a filter has it.
// Names that package place takes for a town are left out.
var regions = sync.OnceValue(func() map[string]string {
	all := map[string]string{}
	for name := range strings.SplitSeq(regionNames, ",") {
		name = strings.TrimSpace(name)
		_, err := place.Look(name)
		var unknown *place.UnknownError
		if errors.As(err, &unknown) && unknown.Instead != "" && len(unknown.Near) > 0 {
			all[strings.ToLower(name)] = regionOf(unknown)
		}
	}
	return all
})

// regionOf is the region that a name was found to be instead of a town: where
// its largest town lies.
func regionOf(unknown *place.UnknownError) string {
	largest := unknown.Near[0]
	if unknown.Instead == "a country" {
		return largest.Country
	}
	return largest.Country + "/" + largest.Region
}

// readRegion reads "in Ohio" and "in England". A town stays among the words: a
// lot is found by the name of its town.
func readRegion(u *Understanding, m match) (string, int, string) {
	names, ends := places(m.text[m.end():])
	for i, name := range names {
		region := regions()[strings.ToLower(name)]
		if region != "" && !slices.Contains(u.Filter.Regions, region) {
			u.Filter.Regions = append(u.Filter.Regions, region)
			return "in " + name, m.end() + ends[i], ""
		}
	}
	return "", 0, ""
}
