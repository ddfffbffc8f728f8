package place

import (
	"fmt"
	"strings"
	"sync"

	"heirpress/search/place/internal/gaz"
)

// whole is a state, province or country: something that has towns in it.
type whole struct {
	// instead says what it is: "a state of the United States".
	instead string
	country string
	region  string // its key; empty for a country
	// well-known ones are meant by their name before any small town called so.
	wellKnown bool
}

// wholes is every state, province and country by the key of its name.
var wholes = sync.OnceValue(func() map[string]whole {
	all := map[string]whole{}
	g := gazetteer()
	for i := range g.Regions() {
		country, short, name := g.Region(i)
		w := whole{describeRegion(country), country, gaz.Key(name), strings.Contains("US CA GB", country)}
		addWhole(all, gaz.Key(name), w)
		w.wellKnown = false // OH is Ohio only if no town is called so.
		addWhole(all, gaz.Key(short), w)
	}
	for key, code := range countryCodes() {
		addWhole(all, key, whole{"a country", code, "", true})
	}
	return all
})

// addWhole adds one, unless a better known one has the name already.
func addWhole(all map[string]whole, key string, w whole) {
	if key != "" && (w.wellKnown && w.region != "" || !all[key].wellKnown) {
		all[key] = w
	}
}

func describeRegion(country string) string {
	kind, of := "a region", countryName(country)
	switch country {
	case "US":
		kind, of = "a state", "the United States"
	case "CA":
		kind = "a province"
	case "GB":
		kind, of = "a part", "the United Kingdom"
	case "AU", "MX", "DE", "AT":
		kind = "a state"
	}
	return fmt.Sprintf("%s of %s", kind, of)
}

// regionInstead settles a bare name that is a state's or country's too: it is
// an error, unless there are towns better known by the name, which are then the
// ones to choose from.
func (q query) regionInstead(found []int) ([]int, error) {
	if len(q.qualifiers) > 0 || q.at != nil {
		return found, nil
	}
	w, ok := wholes()[strings.Join(q.name, "")]
	if !ok || len(found) > 0 && !w.wellKnown {
		return found, nil
	}
	if better := w.outshining(found); len(better) > 0 {
		return better, nil
	}
	near := append(w.largest(), townsAt(found)...)
	return nil, &UnknownError{Query: q.text, Near: near[:min(len(near), maxNear)], Instead: w.instead}
}

// Populations from which a town outshines what has its name: a country that it
// lies in (Luxembourg, Monaco), a state or province that it lies in (New York),
// and either from outside (Washington).
const (
	outshinesCountry = 500
	outshinesRegion  = 50_000
	outshinesOther   = 500_000
)

// outshining is those of the towns that are better known by the name than the
// whole is.
func (w whole) outshining(found []int) []int {
	least := outshinesRegion
	if w.region == "" {
		least = outshinesCountry
	}
	var better []int
	for _, town := range found {
		r := gazetteer().Record(town)
		if r.Population >= outshinesOther || r.Population >= least && w.holds(r.Region) {
			better = append(better, town)
		}
	}
	return better
}

func (w whole) holds(region int) bool {
	s := regionSetting(region)
	return s.country == w.country && (w.region == "" || s.region == w.region)
}

// largest is the most populous town of the whole, for an example.
func (w whole) largest() []Town {
	town, ok := largestTowns()[seat{w.country, w.region}]
	if !ok {
		return nil
	}
	return []Town{townAt(town)}
}

// seat is a region of a country by its key, or the country.
type seat struct{ country, region string }

// largestTowns is the most populous town of each country and each region that
// has anybody in it.
var largestTowns = sync.OnceValue(func() map[seat]int {
	g := gazetteer()
	best := make([]int, g.Regions())
	people := make([]int, g.Regions())
	for town := range g.Len() {
		region := g.RegionOf(town)
		if p := g.Record(town).Population; p > people[region] {
			best[region], people[region] = town, p
		}
	}
	largest, most := map[seat]int{}, map[seat]int{}
	for region, town := range best {
		s := regionSetting(region)
		for _, whole := range []seat{{s.country, ""}, {s.country, s.region}} {
			if people[region] > most[whole] {
				largest[whole], most[whole] = town, people[region]
			}
		}
	}
	return largest
})

// regionAlias is the key of the region of a country that people also call by
// the name with the given key, or empty.
func regionAlias(country, key string) string { return regionAliases()[country+key] }

var regionAliases = sync.OnceValue(func() map[string]string {
	aliases := map[string]string{}
	for line := range strings.Lines(otherRegionNames) {
		names := strings.Split(strings.TrimSpace(line), "/")
		for _, name := range names[2:] {
			aliases[names[0]+gaz.Key(name)] = gaz.Key(names[1])
		}
	}
	return aliases
})

// otherRegionNames has, on each line, a country, a region as the gazetteer names
// it, and what else it is called: the old abbreviations of the US states, and
// regions by their names in the languages spoken there.
const otherRegionNames = `US/Alabama/Ala
US/Arizona/Ariz
US/Arkansas/Ark
US/California/Calif/Cal
US/Colorado/Colo
US/Connecticut/Conn
US/Delaware/Del
US/District of Columbia/Washington DC
US/Florida/Fla
US/Georgia/Geo
US/Illinois/Ill
US/Indiana/Ind
US/Kansas/Kan/Kans
US/Kentucky/Ken
US/Massachusetts/Mass
US/Michigan/Mich
US/Minnesota/Minn
US/Mississippi/Miss
US/Montana/Mont
US/Nebraska/Neb/Nebr
US/Nevada/Nev
US/New Hampshire/N Hamp
US/New Mexico/N Mex
US/New York/New York State
US/North Carolina/N Car/N Carolina
US/North Dakota/N Dak/N Dakota
US/Oklahoma/Okla
US/Oregon/Ore/Oreg
US/Pennsylvania/Penn/Penna
US/Rhode Island/R Isl
US/South Carolina/S Car/S Carolina
US/South Dakota/S Dak/S Dakota
US/Tennessee/Tenn
US/Texas/Tex
US/Vermont/Verm
US/Virginia/Virg
US/Washington/Wash/Washington State
US/West Virginia/W Va/W Virginia
US/Wisconsin/Wis/Wisc
US/Wyoming/Wyo
CA/Alberta/Alta
CA/British Columbia/Colombie-Britannique
CA/Manitoba/Man
CA/New Brunswick/Nouveau-Brunswick
CA/Newfoundland and Labrador/Newfoundland/Labrador/Nfld/Terre-Neuve
CA/Nova Scotia/Nouvelle-Écosse
CA/Ontario/Ont
CA/Prince Edward Island/PEI
CA/Quebec/Que/PQ
CA/Saskatchewan/Sask
GB/England/Eng
GB/Scotland/Alba
GB/Wales/Cymru
GB/Northern Ireland/NI/N Ireland
AU/New South Wales/NSW
AU/Queensland/Qld
AU/South Australia/SA
AU/Tasmania/Tas
AU/Victoria/Vic
AU/Western Australia/WA
AU/Australian Capital Territory/ACT
AU/Northern Territory/NT
DE/Baden-Wurttemberg/BW
DE/Bavaria/Bayern
DE/Hesse/Hessen
DE/Lower Saxony/Niedersachsen
DE/Mecklenburg-Vorpommern/Mecklenburg-Western Pomerania
DE/North Rhine-Westphalia/Nordrhein-Westfalen/NRW
DE/Rheinland-Pfalz/Rhineland-Palatinate
DE/Saxony/Sachsen
DE/Saxony-Anhalt/Sachsen-Anhalt
DE/Thuringia/Thüringen/Thueringen
AT/Vienna/Wien
AT/Tyrol/Tirol
AT/Styria/Steiermark
AT/Carinthia/Kärnten
AT/Upper Austria/Oberösterreich
AT/Lower Austria/Niederösterreich
IT/Tuscany/Toscana
IT/Lombardy/Lombardia
IT/Piedmont/Piemonte
IT/Sicily/Sicilia
IT/Sardinia/Sardegna
ES/Catalonia/Cataluña/Catalunya
ES/Andalusia/Andalucía
ES/Basque Country/País Vasco/Euskadi
FR/Brittany/Bretagne
FR/Normandy/Normandie
FR/Corsica/Corse
NL/North Holland/Noord-Holland
NL/South Holland/Zuid-Holland
NL/North Brabant/Noord-Brabant
BE/Flanders/Vlaanderen
BE/Wallonia/Wallonie`
