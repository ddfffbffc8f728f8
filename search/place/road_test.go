package place_test

import (
	"math"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"heirpress/search/place"
)

func TestRoadBounds(t *testing.T) {
	spots := rapid.OneOf(points(), townPoints())
	rapid.Check(t, func(t *rapid.T) {
		a, b := spots.Draw(t, "a"), spots.Draw(t, "b")
		road, km := place.RoadKm(a, b), place.GreatCircleKm(a, b)
		if road != place.RoadKm(b, a) || road != place.From(a).Road(b) || road != place.From(b).Road(a) {
			t.Fatalf("%v there, %v back", road, place.RoadKm(b, a))
		}
		if !(km <= road.LowKm && road.LowKm <= road.Km && road.Km <= road.HighKm && road.ShipKm <= road.Km+1) {
			t.Fatalf("out of order: great circle %v, road %+v", km, road)
		}
		if km > 0 && road.Km/km < place.MinCircuity() {
			t.Fatalf("circuity %v, below the least, %v", road.Km/km, place.MinCircuity())
		}
		if here := place.RoadKm(a, a); here != (place.Road{}) {
			t.Fatalf("from %v to itself is %+v", a, here)
		}
	})
}

// townPoints draws towns near awkward places: coasts, islands, sparse country.
func townPoints() *rapid.Generator[place.Point] {
	return rapid.Custom(func(t *rapid.T) place.Point {
		p := place.Point{Lat: rapid.Float64Range(25, 70).Draw(t, "lat"), Lng: rapid.Float64Range(-130, 30).Draw(t, "lng")}
		town, _ := place.Nearest(p)
		return town.Point
	})
}

// A way by way of a third town is no shorter, but for the ends: a town off the
// graph is joined to it by straight lines.
func TestRoadsAreShortest(t *testing.T) {
	spots := townPoints()
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := spots.Draw(t, "a"), spots.Draw(t, "b"), spots.Draw(t, "c")
		ab, ac, cb := place.RoadKm(a, b), place.RoadKm(a, c), place.RoadKm(c, b)
		if ac.None || cb.None {
			return
		}
		if ab.None {
			t.Fatalf("a road by way of %v, and none straight", c)
		}
		// Ways are chosen by cost: a lane costs a sixteenth more than its length,
		// and a ferry 200 km more.
		if ships := ac.ShipKm + cb.ShipKm; ships == 0 && ab.ShipKm == 0 && ab.Km > (ac.Km+cb.Km)*17/16+0.01 {
			t.Fatalf("%v km, but %v by way of %v", ab.Km, ac.Km+cb.Km, c)
		}
	})
}

func TestRoadAcrossWater(t *testing.T) {
	tests := []struct {
		from, to string
		none     bool
	}{
		{"New York", "San Francisco, CA", false},
		{"Anchorage, AK", "Panama City, Panama", false},
		{"Anchorage, AK", "Fairbanks, AK", false},
		{"Juneau, AK", "Anchorage, AK", true},
		{"Juneau, AK", "Seattle", true},
		{"Ketchikan, AK", "Prince Rupert, BC", true},
		{"Kodiak, AK", "Homer, AK", true},
		{"Nome, AK", "Anchorage, AK", true},
		{"Utqiagvik, AK", "Fairbanks, AK", true},
		{"Iqaluit, NU", "Ottawa", true},
		{"Halifax, NS", "St. John's, NL", false},
		{"Halifax, NS", "Charlottetown, PE", false},
		{"Victoria, BC", "Tijuana", false},
		{"Nantucket, MA", "Boston", false},
		{"Avalon, CA", "Los Angeles", true},
		{"Honolulu, HI", "Hilo, HI", true},
		{"Key West, FL", "Miami", false},
		{"Key West, FL", "Havana", true},
		{"Miami", "Nassau, Bahamas", true},
		{"Boston", "London", true},
		{"Honolulu, HI", "Los Angeles", true},
		{"Panama City, Panama", "Bogotá", true},
		{"Dublin", "Leeds, England", false},
		{"Belfast, Northern Ireland", "Roma", false},
		{"London", "Lisbon", false},
		{"Douglas, Isle of Man", "York, England", false},
		{"Stornoway, Scotland", "Glasgow, Scotland", false},
		{"Palma", "Madrid", false},
		{"Valletta, Malta", "Roma", false},
		{"Palermo, Italy", "Tunis", true},
		{"Gibraltar", "Tangier", true},
		{"Algeciras", "Ceuta", true},
		{"Paris", "Beijing", false},
		{"Paris", "Reykjavík", true},
		{"Reykjavík", "Akureyri", false},
		{"Nuuk", "Iqaluit, NU", true},
		{"Oslo", "Athens, Greece", false},
		{"Tokyo", "Fukuoka", false},
		{"Fukuoka", "Busan", true},
		{"Cairo", "Cape Town", false},
		{"Sydney, Australia", "Perth, Australia", false},
		{"Sydney, Australia", "Auckland", true},
	}
	for _, test := range tests {
		a, b := find(t, test.from), find(t, test.to)
		if road := place.RoadKm(a.Point, b.Point); road.None != test.none {
			t.Errorf("%s to %s: %+v", test.from, test.to, road)
		}
	}
}

// Ways round water. The kilometres are those of road maps, from memory, and
// within is how far off the estimate may be, per cent.
func TestRoadRoundWater(t *testing.T) {
	tests := []struct {
		from, to   string
		km, within float64
		ship       bool
	}{
		// The Great Lakes.
		{"Milwaukee, WI", "Muskegon, MI", 443, 10, false},
		{"Milwaukee, WI", "Grand Rapids, MI", 433, 10, false},
		{"Chicago", "Grand Rapids, MI", 286, 10, false},
		{"Toledo, OH", "Windsor, ON", 97, 12, false},
		{"Cleveland, OH", "London, ON", 460, 12, false},
		{"Rochester, NY", "Toronto", 275, 12, false},
		{"Manitowoc, WI", "Ludington, MI", 690, 15, false},
		{"Mackinaw City, MI", "St. Ignace, MI", 13, 15, false},
		{"Erie, PA", "Port Dover, ON", 275, 12, false},
		{"Sandusky, OH", "Leamington, ON", 216, 12, false},
		// Puget Sound.
		{"Seattle", "Bremerton, WA", 105, 15, false},
		{"Seattle", "Port Townsend, WA", 180, 15, false},
		{"Tacoma, WA", "Gig Harbor, WA", 16, 20, false},
		// Long Island Sound: through New York, unless that is a very long way round.
		{"New Haven, CT", "Port Jefferson, NY", 210, 12, false},
		{"Bridgeport, CT", "Huntington, NY", 118, 15, false},
		{"New London, CT", "Riverhead, NY", 75, 12, true},
		{"Bridgeport, CT", "Port Jefferson, NY", 175, 12, false},
		// Chesapeake Bay.
		{"Annapolis, MD", "St. Michaels, MD", 80, 20, false},
		{"Norfolk, VA", "Cape Charles, VA", 64, 35, false},
		{"Baltimore, MD", "Rock Hall, MD", 120, 15, false},
		// San Francisco Bay, Tampa Bay, Lake Pontchartrain.
		{"San Francisco, CA", "Sausalito, CA", 16, 15, false},
		{"San Francisco, CA", "Oakland, CA", 19, 15, false},
		{"St. Petersburg, FL", "Bradenton, FL", 40, 25, false},
		// The Channel and the Irish Sea.
		{"Dover, England", "Calais, France", 60, 30, false},
		{"London", "Paris", 455, 8, false},
		{"Dublin", "Liverpool, England", 275, 12, true},
		// The Baltic.
		{"Copenhagen", "Malmö", 43, 8, false},
		{"Copenhagen", "Hamburg", 470, 8, false},
		{"Stockholm", "Tallinn", 390, 8, true},
		{"Stockholm", "Visby", 210, 12, true},
		{"Helsinki", "Tallinn", 85, 8, true},
		// The Adriatic.
		{"Ancona, Italy", "Split", 900, 12, false},
		{"Venice, Provincia di Venezia, Italy", "Rijeka", 235, 12, false},
		{"Bari, Apulia, Italy", "Dubrovnik", 1560, 12, false},
		// Others.
		{"Villa San Giovanni, Italy", "Messina, Sicily, Italy", 8, 25, true},
		{"Patras", "Nafpaktos", 22, 15, false},
		{"Lisbon", "Setúbal", 48, 25, false},
		{"Hull, England", "Lincoln, England", 75, 15, false},
		{"Miami", "Key West, FL", 257, 8, false},
		{"Provincetown, MA", "Boston", 187, 12, false},
	}
	for _, test := range tests {
		a, b := find(t, test.from), find(t, test.to)
		road := place.RoadKm(a.Point, b.Point)
		off := 100 * (road.Km/test.km - 1)
		t.Logf("%s to %s: %.0f km, %+.0f %%", test.from, test.to, road.Km, off)
		if road.None || math.Abs(off) > test.within || (road.ShipKm > 0) != test.ship {
			t.Errorf("%s to %s: %+v, want about %v km", test.from, test.to, road, test.km)
		}
	}
}

func TestRoadOffTheGlobe(t *testing.T) {
	nowhere := place.Point{Lat: 91}
	for _, road := range []place.Road{place.RoadKm(place.Point{}, nowhere), place.RoadKm(nowhere, place.Point{}), place.From(nowhere).Road(nowhere)} {
		if !math.IsNaN(road.Km) || !road.None {
			t.Errorf("to a point off the globe: %+v", road)
		}
	}
}

// Many may ask at once, and what is remembered changes no answer.
func TestOriginsAtOnce(t *testing.T) {
	var towns []place.Point
	for _, name := range []string{"Dayton, OH", "Boston, MA", "Leeds, England", "Juneau, AK", "Seattle", "Paris", "Helsinki", "Tallinn", "Sydney, Australia", "Key West, FL", "Denver, CO", "Lisbon", "Toronto", "Halifax, NS"} {
		towns = append(towns, find(t, name).Point)
	}
	want := map[[2]int]place.Road{}
	for i, a := range towns {
		for k, b := range towns {
			want[[2]int{i, k}] = place.From(a).Road(b)
		}
	}
	var all sync.WaitGroup
	for w := range 4 {
		all.Go(func() {
			for n := range 400 {
				i, k := (n*7+w)%len(towns), (n*5+3*w)%len(towns)
				if got := place.RoadKm(towns[i], towns[k]); got != want[[2]int{i, k}] {
					t.Errorf("%d to %d: %+v, alone %+v", i, k, got, want[[2]int{i, k}])
				}
			}
		})
	}
	all.Wait()
}

func find(t *testing.T, text string) place.Town {
	t.Helper()
	town, err := place.Find(text)
	if err != nil {
		t.Fatal(err)
	}
	return town
}
