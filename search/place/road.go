package place

// Road is an estimate of the way by road between two points, in kilometres. It
// knows nothing of the roads: it is the great circle and how far roads usually
// go round.
type Road struct {
	// Km is the middle estimate.
	Km float64
	// LowKm and HighKm hold the middle eight in ten of trips: a tenth are
	// shorter than LowKm, a tenth longer than HighKm.
	LowKm, HighKm float64
	// None marks points with no road between them, as on two sides of an ocean.
	// The kilometres are then only a great circle lengthened by as much as any.
	None bool
}

// Miles is the estimate in miles, as messages carry it: the middle, low and high.
func (r Road) Miles() (middle, low, high *float64) {
	in := func(km float64) *float64 {
		miles := km / KmPerMile
		return &miles
	}
	return in(r.Km), in(r.LowKm), in(r.HighKm)
}

// circuity is how many times the great circle the road is: the middle, and a
// tenth of trips below and above.
type circuity struct{ low, middle, high float64 }

var (
	// northAmerica is measured: 1.19 comes within 9 % nine times in ten, which is
	// a little wider than the tenths that the band stands for.
	northAmerica = circuity{1.08, 1.19, 1.30}
	// europe is measured on R's eurodist table, the six pairs that are plainly
	// wrong left out: the tenths and the middle of 204 pairs of cities.
	europe = circuity{1.19, 1.29, 1.54}
	// elsewhere is from memory of the national averages of Ballou, Rahardja and
	// Sakai (2002), of which most lie between 1.2 and 1.45: not measured here.
	elsewhere = circuity{1.20, 1.30, 1.65}
)

// RoadKm estimates the way by road from a to b, which is the same from b to a.
// It is never shorter than the great circle. If either point is not valid it is
// NaN and there is no road.
func RoadKm(a, b Point) Road {
	km := GreatCircleKm(a, b)
	c, joined := circuityBetween(a, b)
	return Road{Km: c.middle * km, LowKm: c.low * km, HighKm: c.high * km, None: !joined && km != 0}
}

// MinCircuity is the least that RoadKm can make of a great circle: no place
// within a road distance is further than that over MinCircuity as the crow
// flies. It is a hair below the constant, for the rounding of a division.
func MinCircuity() float64 {
	return min(northAmerica.middle, europe.middle, elsewhere.middle) * (1 - 1e-12)
}

// circuityBetween also tells whether the points are on one mass of land.
func circuityBetween(a, b Point) (c circuity, joined bool) {
	land := landOf(a)
	switch {
	case land == noLand || land != landOf(b):
		return elsewhere, false
	case land == america:
		return northAmerica, true
	case land == eurasia && inEurope(a) && inEurope(b):
		return europe, true
	}
	return elsewhere, true
}

// inEurope tells Europe from Asia, roughly: Turkey and the Caucasus are in.
func inEurope(p Point) bool { return p.Lng < 60 && p.Lat > 34.5 }

// land numbers what a lorry can drive about on without a ship, save for short
// ferries: Ireland, Newfoundland and the like count with the land beside them.
type land int

const (
	noLand land = iota
	america
	eurasia
	africa
	japan
	firstOther
)

// landOf is the land that a point is on, by boxes drawn round the lands.
func landOf(p Point) land {
	for i, l := range lands {
		if p.Lat >= l.south && p.Lat <= l.north && p.Lng >= l.west && p.Lng <= l.east {
			if l.land == noLand {
				return firstOther + land(i)
			}
			return l.land
		}
	}
	return noLand
}

// lands are boxes in degrees, the first that holds a point being the one that
// counts. Those of noLand are each a land of their own.
var lands = []struct {
	land                     land
	south, west, north, east float64
}{
	{noLand, 63, -25, 67, -13},         // Iceland
	{noLand, 59, -57, 78, -17},         // Greenland
	{noLand, 76, -68, 84, -11},         // Greenland, the north
	{noLand, 18, -162, 23, -154},       // Hawaii
	{noLand, 32, -65, 32.5, -64},       // Bermuda
	{noLand, 19.8, -85, 23.3, -74},     // Cuba
	{noLand, 17.4, -74.6, 20.1, -68.2}, // Hispaniola
	{noLand, 17.6, -78.5, 18.6, -76},   // Jamaica
	{noLand, 17.8, -67.4, 18.6, -65.2}, // Puerto Rico
	{noLand, 20.9, -79.4, 27.4, -72.7}, // Bahamas
	{noLand, 10, -65.2, 18.9, -59},     // Lesser Antilles
	{america, 7.2, -83, 9.8, -77.4},    // Panama, to the Darién
	{america, 8, -92.4, 18, -83},
	{america, 13.5, -170, 84, -52},
	{noLand, -56, -82, 13, -34},        // South America
	{noLand, 36.8, -31.4, 39.9, -24.9}, // Azores
	{noLand, 32.3, -17.4, 33.2, -16},   // Madeira
	{noLand, 27.5, -18.3, 29.5, -13.3}, // Canary Islands
	{noLand, -26, 43, -11.8, 51},       // Madagascar
	{africa, -35, -18, 31.6, 34.2},
	{africa, 31.6, -18, 35.95, -1},
	{africa, 31.6, -1, 37.4, 11.6},
	{africa, 31.6, 11.6, 33.3, 25},
	{africa, -35, 34.2, 24, 37.5},
	{africa, -35, 37.5, 17.5, 40},
	{africa, -35, 40, 12.6, 43.2},
	{africa, -35, 43.2, 12, 51.5},
	{noLand, 5.8, 79.5, 9.9, 82},       // Sri Lanka
	{japan, 30, 128.5, 34.8, 132.2},    // Japan: Kyushu
	{japan, 32.5, 130.8, 41.6, 142.2},  // Honshu
	{noLand, 21.8, 119.9, 25.4, 122.2}, // Taiwan
	{noLand, 4.5, 116.9, 19, 127},      // Philippines
	{eurasia, 1.25, 99.5, 6, 104.5},    // Malaya
	{noLand, -11, 95, 6, 119},
	{noLand, -44, 112, -10, 154}, // Australia
	{noLand, -48, 166, -34, 179}, // New Zealand
	{eurasia, -11, -11, 82, 180}, // Europe and Asia, with Britain and Ireland
	{eurasia, 60, -180, 72, -169},
}
