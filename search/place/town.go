package place

import (
	"errors"
	"fmt"
	"strings"
)

// Town is a place in the gazetteer, or, far from any, a rounded position.
type Town struct {
	Name string
	// Region is the short form of the state, province or region, as people
	// there write it after the comma: "OH", "ON", "England". Where there is no
	// short form it is RegionName.
	Region, RegionName string
	// County is the county, district or department. It may be empty.
	County string
	// Country is the ISO 3166-1 alpha-2 code, empty for a position far from any
	// town, which has no region either.
	Country, CountryName string
	// Point is where the gazetteer puts the town, to four decimal places.
	Point Point
	// Population is the number of people as GeoNames has it, above a million
	// rounded down by a few; 0 is not known.
	Population int
}

// Label is the town as one would write it on an envelope: "Dayton, OH",
// "Leeds, England", "Köln, Germany". Where that would mean another town of the
// name, it says as much more as is needed: the county or region, or for want of
// those the position. Find of a label of a town in the gazetteer is that town.
func (t Town) Label() string {
	if t.Country == "" {
		return t.Name
	}
	forms := t.forms()
	for _, label := range forms {
		found, err := Look(label)
		var unknown *UnknownError
		if err == nil && found.samePlace(t) || errors.As(err, &unknown) {
			return label
		}
	}
	return fmt.Sprintf("%s (%.2f,%.2f)", forms[0], t.Point.Lat, t.Point.Lng)
}

// LongLabel is the town with all that tells it from others of its name, for a
// list of choices: "Springfield, Clark County, OH, United States".
func (t Town) LongLabel() string {
	return join(t.Name, t.County, t.Region, t.CountryName)
}

// forms are the town's labels from the shortest to the fullest.
func (t Town) forms() []string {
	switch t.Country {
	case "US", "CA", "GB":
		return []string{
			join(t.Name, t.Region),
			join(t.Name, t.County, t.Region),
		}
	}
	return []string{
		join(t.Name, t.CountryName),
		join(t.Name, t.Region, t.CountryName),
		join(t.Name, t.County, t.Region, t.CountryName),
	}
}

// join writes parts with commas between, leaving out those that are empty or
// only repeat the one before.
func join(parts ...string) string {
	var kept []string
	for _, part := range parts {
		if part != "" && (len(kept) < 2 || part != kept[len(kept)-1]) {
			kept = append(kept, part)
		}
	}
	return strings.Join(kept, ", ")
}

// samePlace tells whether two values stand for one place, whatever else they
// say about it.
func (t Town) samePlace(u Town) bool {
	return t.Name == u.Name && t.Country == u.Country && t.Region == u.Region && t.Point == u.Point
}
