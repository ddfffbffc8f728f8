package place

import (
	"slices"
	"strings"
	"sync"

	"heirpress/search/place/internal/gaz"
)

// A qualifier says where a town is: by its county, region or country. How well
// it does so is told apart because a US state's abbreviation may also be a
// country's code: "CA" is California before it is Canada.
type strength int

const (
	noMatch strength = iota
	byCode           // by a country's two-letter code
	byName           // by anything else
)

// qualified is those of the towns that lie where every qualifier says.
func qualified(towns []int, qualifiers [][]string) []int {
	if len(qualifiers) == 0 {
		return towns
	}
	var found []int
	best := byCode
	for _, town := range towns {
		switch s := setOf(town).matchAll(qualifiers); {
		case s > best:
			found, best = []int{town}, s
		case s == best:
			found = append(found, town)
		}
	}
	return found
}

// setting is what a town lies in, by key.
type setting struct {
	country, short, region string
	county                 string // as written; few queries need its key
}

func setOf(town int) setting {
	r := gazetteer().Record(town)
	s := regionSetting(r.Region)
	s.county = gazetteer().County(r.County)
	return s
}

func regionSetting(region int) setting {
	country, short, name := gazetteer().Region(region)
	return setting{country: country, short: gaz.Key(short), region: gaz.Key(name)}
}

// regionSettings is the setting of every region.
var regionSettings = sync.OnceValue(func() []setting {
	all := make([]setting, gazetteer().Regions())
	for i := range all {
		all[i] = regionSetting(i)
	}
	return all
})

// matchAll is how well the setting answers to all of the qualifiers.
func (s setting) matchAll(qualifiers [][]string) strength {
	least := byName
	for _, words := range qualifiers {
		least = min(least, s.match(words))
	}
	return least
}

// match is how well the setting answers to the words of a qualifier, which may
// be several names one after the other: "Ohio USA".
func (s setting) match(words []string) strength {
	if len(words) == 0 {
		return byName
	}
	best := noMatch
	for n := 1; n <= len(words) && best < byName; n++ {
		if first := s.matchOne(words[:n]); first > noMatch {
			best = max(best, min(first, s.match(words[n:])))
		}
	}
	return best
}

func (s setting) matchOne(words []string) strength {
	key := strings.Join(words, "")
	switch {
	case key == s.short, key == s.region, regionAlias(s.country, key) == s.region && s.region != "":
		return byName
	case countryCodes()[key] == s.country:
		return byName
	case sameCounty(words, s.county):
		return byName
	case strings.EqualFold(key, s.country):
		return byCode
	}
	return noMatch
}

// sameCounty tells whether words name a county, with or without such words as
// "County".
func sameCounty(words []string, county string) bool {
	if county == "" {
		return false
	}
	key := bareCounty(words)
	return key != "" && key == bareCounty(gaz.Words(county))
}

func bareCounty(words []string) string {
	var b strings.Builder
	for _, word := range words {
		if !slices.Contains(countyWords, word) {
			b.WriteString(word)
		}
	}
	return b.String()
}

// countyWords are the words in counties' names that people leave out.
var countyWords = []string{
	"county", "co", "parish", "borough", "census", "area", "municipality", "district", "city", "royal",
	"metropolitan", "of", "and", "the", "departement", "provincia", "province", "regional",
}
