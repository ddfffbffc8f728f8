package place

import (
	"math/rand/v2"
	"testing"
)

// Every place becomes a town of a thousand people or more, the nearest one, and
// stays it.
func TestWide(t *testing.T) {
	var peopled []Town
	for town := range Towns() {
		if town.Population >= FewPeople {
			peopled = append(peopled, town)
		}
	}
	chance := rand.New(rand.NewPCG(7, 7))
	for range 300 {
		town := townAt(chance.IntN(gazetteer().Len()))
		wide := Wide(town)
		if wide.Population < FewPeople || Wide(wide) != wide {
			t.Errorf("%s became %s, of %d people", town.LongLabel(), wide.LongLabel(), wide.Population)
		}
		if town.Population >= FewPeople {
			if wide != town {
				t.Errorf("%s became %s", town.LongLabel(), wide.LongLabel())
			}
			continue
		}
		km := GreatCircleKm(town.Point, wide.Point)
		for _, other := range peopled {
			if d := GreatCircleKm(town.Point, other.Point); d < km-1e-6 {
				t.Errorf("%s became %s, %.1f km off, and %s is %.1f km off", town.LongLabel(), wide.LongLabel(), km, other.LongLabel(), d)
				break
			}
		}
	}
}
