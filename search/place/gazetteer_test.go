package place

import (
	"regexp"
	"strings"
	"testing"
)

func TestGazetteerIsSound(t *testing.T) {
	state := regexp.MustCompile(`^[A-Z]{2}$`)
	for number := range gazetteer().Len() {
		town := townAt(number)
		switch {
		case !town.Point.Valid() || town.Name == "" || strings.Contains(town.Name, ","):
			t.Errorf("town %d is %+v", number, town)
		case town.CountryName == "" || town.CountryName == town.Country:
			t.Errorf("%s has a country of no name, %q", town.Name, town.Country)
		case (town.Country == "US" || town.Country == "CA") && !state.MatchString(town.Region):
			t.Errorf("%s has the region %q", town.LongLabel(), town.Region)
		}
	}
}

func TestGazetteerCovers(t *testing.T) {
	if len(gazetteerData) > 4_000_000 {
		t.Errorf("the gazetteer takes %d bytes", len(gazetteerData))
	}
	count := map[string]int{}
	for number := range gazetteer().Len() {
		count[townAt(number).Country]++
	}
	for country, least := range map[string]int{
		"US": 30_000, "CA": 2500, "GB": 5000, "IE": 500, "DE": 10_000, "FR": 14_000, "IT": 11_000, "NL": 1500, "AU": 3500, "NZ": 400, "JP": 300,
	} {
		if count[country] < least {
			t.Errorf("%d towns in %s, want at least %d", count[country], country, least)
		}
	}
}

func TestCountriesInOrder(t *testing.T) {
	for i, c := range countries[1:] {
		if c.code <= countries[i].code {
			t.Errorf("%s comes after %s", c.code, countries[i].code)
		}
	}
}

// Every region that has another name must be in the gazetteer, or the other
// name finds nothing.
func TestRegionAliasesNameRegions(t *testing.T) {
	known := map[string]bool{}
	for i := range gazetteer().Regions() {
		s := regionSetting(i)
		known[s.country+s.region] = true
	}
	for alias, region := range regionAliases() {
		if !known[alias[:2]+region] {
			t.Errorf("%s stands for %s, which the gazetteer has not", alias, region)
		}
	}
}

func TestAttributionNamesTheSource(t *testing.T) {
	for _, words := range []string{"GeoNames", "Creative Commons Attribution 4.0"} {
		if !strings.Contains(strings.ReplaceAll(Attribution, "\n", " "), words) {
			t.Errorf("the attribution does not say %q", words)
		}
	}
}
