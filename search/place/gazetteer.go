package place

import (
	_ "embed"
	"sync"

	"heirpress/search/place/internal/gaz"
)

//go:embed gazetteer.bin
var gazetteerData string

// gazetteer opens the data on first use. That costs next to nothing: the data
// is searched where it lies.
var gazetteer = sync.OnceValue(func() *gaz.File {
	f, err := gaz.Open(gazetteerData)
	if err != nil {
		panic("place: the gazetteer built into this program is damaged: " + err.Error())
	}
	return f
})

// townAt is a town by its number in the gazetteer.
func townAt(number int) Town {
	g := gazetteer()
	r := g.Record(number)
	country, short, region := g.Region(r.Region)
	return Town{
		Name:        g.Name(number),
		Region:      short,
		RegionName:  region,
		County:      g.County(r.County),
		Country:     country,
		CountryName: countryName(country),
		Point:       Point{Lat: r.Lat, Lng: r.Lng},
		Population:  r.Population,
	}
}
