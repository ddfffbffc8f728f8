package search

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// mostPlaceWords is how many words the name of a place has, at most, with its
// region.
const mostPlaceWords = 5

// mostLookups is how many names of a search are looked up, at most: one that no
// town has takes its time.
const mostLookups = 12

// placeWordRE finds the words that a place may be called by.
var placeWordRE = regexp.MustCompile(`^[\s]*[^\s;()]+`)

// placeEnds are the words, in small letters, that begin something else than a
// place.
var placeEnds = []string{
	"under", "within", "less", "for", "max", "maximum", "at", "with", "weighing", "up", "that", "which", "and", "or", "but", "no", "not",
	"below", "cheaper", "lighter", "on", "in", "from", "near", "by", "only", "to", "if",
}

// places lists the texts at the beginning of a text that may name a place, the
// longest first, and where each ends.
func places(text string) (names []string, ends []int) {
	end := 0
	for range mostPlaceWords {
		word := placeWordRE.FindString(text[end:])
		bare := strings.TrimSpace(word)
		if bare == "" || slices.Contains(placeEnds, bare) {
			break
		}
		end += len(word)
		name := strings.TrimRight(strings.TrimSpace(text[:end]), ",.!?:")
		names, ends = append([]string{name}, names...), append([]int{end}, ends...)
	}
	return names, ends
}

// findTown reads the town that a text begins with, as long a name as there is,
// and where it ends. Of towns that share a name, those in the countries given
// come first, if any are. It returns what is in doubt where that is not enough.
func (u *Understanding) findTown(text string, countries []string) (town place.Town, end int, unsure string) {
	names, ends := places(text)
	for i, name := range names {
		if u.lookups++; u.lookups > mostLookups {
			break
		}
		town, err := u.find(name)
		var several *place.AmbiguousError
		var unknown *place.UnknownError
		switch {
		case err == nil:
			return town, ends[i], ""
		case errors.As(err, &several):
			if town, ok := foremost(several.Choices, countries); ok {
				return town, ends[i], ""
			}
			return place.Town{}, 0, shared(name, several.Choices)
		case errors.As(err, &unknown) && unknown.Instead != "":
			return place.Town{}, 0, strings.TrimRight(err.Error(), ".")
		}
	}
	return place.Town{}, 0, ""
}

// mostChoices is how many of the towns that share a name are listed.
const mostChoices = 3

// shared tells that a name is shared, and by which towns above all.
func shared(name string, towns []place.Town) string {
	var labels []string
	for _, town := range towns[:min(mostChoices, len(towns))] {
		labels = append(labels, town.Label())
	}
	return fmt.Sprintf("%q may be any of %d towns, such as %s; add the state or country", name, len(towns), strings.Join(labels, "; "))
}

// milesCountries are the countries where roads are measured in miles, if a
// distance is: whoever says miles means no Toledo in Spain.
func milesCountries(distance string) []string {
	if metric(distance) == trade.Metric {
		return nil
	}
	return []string{"US", "GB"}
}

// moneyCountries is where people pay in a currency: who says pounds means no
// York in Pennsylvania. Dollars without a name may be of several countries.
func moneyCountries(price *pb.Money) []string {
	if country := map[string]string{"GBP": "GB", "CAD": "CA", "AUD": "AU", "NZD": "NZ"}[price.GetCurrencyCode()]; country != "" {
		return []string{country}
	}
	return nil
}

// dominance is how many times the people of the next a town must have to be
// meant, as package place has it.
const dominance = 10

// foremost is the one town in any of the countries that must be meant.
func foremost(towns []place.Town, countries []string) (place.Town, bool) {
	var inside []place.Town
	for _, town := range towns { // the most populous first
		if slices.Contains(countries, town.Country) {
			inside = append(inside, town)
		}
	}
	switch {
	case len(inside) == 0, len(inside) > 1 && inside[0].Population < dominance*inside[1].Population:
		return place.Town{}, false
	}
	return inside[0], true
}

// readWithinOf reads "within 200 miles of Toledo".
func readWithinOf(u *Understanding, m match) (string, int, string) {
	km, err := trade.ParseRoadKm(inFigures(strings.TrimRight(m.group(1), ".")))
	if err != nil {
		return "", 0, err.Error()
	}
	town, end, unsure := u.findTown(m.text[m.end():], append(moneyCountries(u.Filter.GetMaxPrice()), milesCountries(m.group(1))...))
	if end == 0 {
		return "", 0, unsure
	}
	u.Filter.Near = &pb.Near{Place: town.Label(), WithinRoadKm: &km}
	return "within " + trade.FormatRoad(km, metric(m.group(1))) + " by road of " + town.Label(), m.end() + end, ""
}

// readNear reads "near Dayton OH".
func readNear(u *Understanding, m match) (string, int, string) {
	if u.Filter.GetNear() != nil {
		return "", 0, "" // Within so much of one place, and near another.
	}
	town, end, unsure := u.findTown(m.text[m.end():], moneyCountries(u.Filter.GetMaxPrice()))
	if end == 0 {
		return "", 0, unsure
	}
	u.Filter.Near = &pb.Near{Place: town.Label()}
	u.Order = pb.LotOrder_LOT_ORDER_NEAREST
	return "near " + town.Label(), m.end() + end, ""
}

// readWithin reads a distance from a place that is named elsewhere: in the
// words, or by the filter.
func readWithin(u *Understanding, m match) (string, int, string) {
	km, err := trade.ParseRoadKm(inFigures(strings.TrimRight(m.group(1), ".")))
	near := u.Filter.GetNear()
	if u.given {
		near = &pb.Near{}
	}
	switch {
	case err != nil:
		return "", 0, err.Error()
	case near == nil:
		return "", 0, fmt.Sprintf("%q is from nowhere; name a town", m.group(1))
	case near.WithinRoadKm != nil:
		return "", 0, ""
	}
	near.WithinRoadKm = &km
	return "within " + trade.FormatRoad(km, metric(m.group(1))) + " by road", m.end(), ""
}
