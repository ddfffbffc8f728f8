package main

import (
	"strings"

	"heirpress/search/place/internal/gaz"
)

// atlas is the gazetteer being put together.
type atlas struct {
	entries        []*entry
	grid           grid
	byName         map[string][]*entry // by country and key
	admin1, admin2 map[string]string
}

func newAtlas(s sources) *atlas {
	a := &atlas{grid: grid{}, byName: map[string][]*entry{}, admin1: s.admin1, admin2: s.admin2}
	a.addPostalCounties(s.zips)
	for _, c := range s.cities {
		if wanted(c) {
			a.add(c.entry())
		}
	}
	return a
}

func (c city) entry() *entry {
	return &entry{
		Town: gaz.Town{Name: c.name, Country: c.country, Population: c.population},
		at:   c.at, admin1: c.admin1, admin2: c.admin2, feature: c.feature, alternates: c.alternates,
	}
}

// fill brings in towns that the older table has and the newer have lost: those
// of some size that lie apart from every town there is, under whatever name.
func (a *atlas) fill(older []city) {
	const apart, known = 2.0, 15.0 // km
	for _, c := range older {
		if c.population < 1000 || c.feature == quarter || !wanted(c) || !listed(c.country, homelands) {
			continue
		}
		key := gaz.Key(c.name)
		within := func(km float64, fits func(*entry) bool) bool {
			return a.grid.nearest(c.at, km, func(e *entry) bool { return e.Country == c.country && fits(e) }) != nil
		}
		called := func(e *entry) bool { return e.answersTo(key) }
		if !within(apart, func(*entry) bool { return true }) && !within(known, called) {
			a.add(c.entry())
		}
	}
}

// addPostalCounties fills in the names of counties under codes that the newer
// table has since dropped, as Connecticut's.
func (a *atlas) addPostalCounties(zips []zip) {
	for _, z := range zips {
		code := "US." + z.state + "." + z.county
		if _, ok := a.admin2[code]; !ok && z.countyName != "" {
			a.admin2[code] = postalCounty(z)
		}
	}
}

// postalCounty writes a county from the ZIP table as the gazetteer does.
func postalCounty(z zip) string {
	switch {
	case z.countyName == "" || strings.Contains(z.countyName, "("):
		return strings.TrimSpace(strings.NewReplacer("(city)", "", "(CA)", "").Replace(z.countyName))
	case z.state == "LA":
		return z.countyName + " Parish"
	case z.state == "AK" || z.state == "DC":
		return z.countyName
	}
	return z.countyName + " County"
}

func (a *atlas) add(e *entry) {
	// What follows a comma says only where the place is: "Basford, Stoke-on-Trent".
	e.Name, _, _ = strings.Cut(strings.TrimSpace(e.Name), ",")
	if e.Country == "US" {
		e.Name, _, _ = strings.Cut(e.Name, " (") // "(village)", "(balance)"
	}
	e.key = gaz.Key(e.Name)
	e.Lat, e.Lng = e.at.lat, e.at.lng
	a.entries = append(a.entries, e)
	a.grid.add(e)
	name := e.Country + e.key
	a.byName[name] = append(a.byName[name], e)
}

// repair gives towns whose region code has since been changed the code that
// the newer table gives the nearest town of the same country.
func (a *atlas) repair(newer []newerCity) {
	current := grid{}
	for _, n := range newer {
		at, err := parsePoint(n.Lat.String(), n.Lng.String())
		if err == nil && a.admin1[n.Country+"."+n.Admin1] != "" {
			current.add(&entry{Town: gaz.Town{Country: n.Country}, at: at, admin1: n.Admin1, admin2: n.Admin2})
		}
	}
	for _, e := range a.entries {
		if a.regionName(e) != "" {
			continue
		}
		same := func(n *entry) bool { return n.Country == e.Country }
		if n := current.nearest(e.at, 25, same); n != nil {
			e.admin1, e.admin2 = n.admin1, n.admin2
		}
	}
}

// update brings in what the newer table has and the older has not: a new name
// for a town that is there already, or a new town, whose population is then not
// known.
func (a *atlas) update(newer []newerCity) {
	current := map[string]bool{}
	for _, n := range newer {
		current[n.Country+gaz.Key(n.Name)] = true
	}
	for _, n := range newer {
		at, err := parsePoint(n.Lat.String(), n.Lng.String())
		key := gaz.Key(n.Name)
		if err != nil || key == "" || !listed(n.Country, homelands) || censusTract(n.Name) {
			continue
		}
		at.lat, at.lng = round4(at.lat), round4(at.lng)
		within := func(km float64, fits func(*entry) bool) *entry {
			return a.grid.nearest(at, km, func(e *entry) bool { return e.Country == n.Country && fits(e) })
		}
		if within(12, func(e *entry) bool { return e.key == key }) != nil {
			continue
		}
		renamed := func(e *entry) bool { return e.answersTo(key) && !current[e.Country+e.key] }
		if old := within(3, renamed); old != nil {
			a.rename(old, n.Name)
			continue
		}
		if within(1, func(*entry) bool { return true }) == nil {
			a.add(&entry{Town: gaz.Town{Name: n.Name, Country: n.Country}, at: at, admin1: n.Admin1, admin2: n.Admin2})
		}
	}
}

// censusTract tells a piece of a Canadian census from a town: "Ct 0001".
func censusTract(name string) bool { return strings.HasPrefix(name, "Ct 0") }

func (a *atlas) rename(e *entry, name string) {
	e.alternates = append(e.alternates, e.Name)
	e.Name, e.key = name, gaz.Key(name)
	a.byName[e.Country+e.key] = append(a.byName[e.Country+e.key], e)
}

// mergeTwins drops a town listed twice over: the same name in the same region,
// hardly apart, as when a town and the parish around it both have entries.
func (a *atlas) mergeTwins() {
	const apart = 4.0 // km
	for _, e := range a.entries {
		for _, twin := range a.byName[e.Country+e.key] {
			sameRegion := twin.admin1 == e.admin1 || a.regionName(e) == "" || a.regionName(twin) == ""
			if twin != e && !twin.gone && twin.key == e.key && sameRegion && twin.at.km(e.at) < apart && lesser(e, twin) {
				e.gone = true
			}
		}
	}
}

func (a *atlas) regionName(e *entry) string { return a.admin1[e.Country+"."+e.admin1] }

// lesser puts two towns in a fixed order, the more populous after.
func lesser(a, b *entry) bool {
	if a.Population != b.Population {
		return a.Population < b.Population
	}
	if a.at.lat != b.at.lat {
		return a.at.lat < b.at.lat
	}
	return a.at.lng < b.at.lng
}

// towns is the finished gazetteer.
func (a *atlas) towns() []gaz.Town {
	var towns []gaz.Town
	for _, e := range a.entries {
		if e.gone || e.key == "" {
			continue
		}
		e.Short, e.RegionName = region(e.Country, e.admin1, a.admin1)
		if !e.Postal {
			e.County = tidy(a.admin2[e.Country+"."+e.admin1+"."+e.admin2])
		}
		e.Lat, e.Lng = round4(e.Lat), round4(e.Lng)
		towns = append(towns, e.Town)
	}
	return towns
}
