package lots

import (
	"slices"
	"strings"
	"sync"

	"heirpress/search/place"
)

// share is how likely a country's people have a shop, beside one another's.
var share = map[string]float64{"US": 2, "CA": 2, "GB": 2, "IE": 1, "MX": 0.2}

const europe = "DE FR NL BE LU AT CH IT ES PT DK NO SE FI PL CZ SK HU SI HR RO BG GR EE LV LT"

// leastPeople is how many people a town has that may have a shop.
const leastPeople = 1_000

// towns are drawn by how many people live there.
type towns struct {
	all   []place.Town
	until []float64 // the sum of weights up to and with each town
}

// gazetteer reads the towns once.
var gazetteer = sync.OnceValue(func() *towns {
	shares := map[string]float64{}
	for country := range strings.FieldsSeq(europe) {
		shares[country] = 1
	}
	for country, s := range share {
		shares[country] = s
	}
	t := new(towns)
	var sum float64
	for town := range place.Towns() {
		if s := shares[town.Country]; s > 0 && town.Population >= leastPeople {
			sum += s * float64(town.Population)
			t.all, t.until = append(t.all, town), append(t.until, sum)
		}
	}
	return t
})

func (t *towns) draw(d *dice) place.Town {
	at := d.Float64() * t.until[len(t.until)-1]
	i, _ := slices.BinarySearch(t.until, at)
	return t.all[min(i, len(t.all)-1)]
}

// Town draws a town as shops' towns are drawn.
func (g *Generator) Town(stream uint64) place.Town { return g.towns.draw(g.dice(stream)) }
