package place

import "math"

// Road is an estimate of the way by road between two points, in kilometres.
type Road struct {
	// Km is the middle estimate.
	Km float64
	// LowKm and HighKm hold the middle eight in ten of trips: a tenth are
	// shorter than LowKm, a tenth longer than HighKm.
	LowKm, HighKm float64
	// ShipKm is how much of Km is by car ferry.
	ShipKm float64
	// Routed marks a way whose length a routing service has found: LowKm and HighKm
	// are then Km.
	Routed bool
	// None marks points that no road joins, with or without a ferry. The
	// kilometres are then only a great circle lengthened by as much as any.
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

const (
	// leastCircuity is the least that a way by road is taken to be of the great
	// circle. The straightest roads of the check tables are not straighter.
	leastCircuity = 1.02
	// noRoadCircuity lengthens the great circle where there is no road: about the
	// middle of the national averages of Ballou, Rahardja and Sakai (2002), from
	// memory.
	noRoadCircuity = 1.30
	// localCircuity lengthens the straight way between two points of one town,
	// and from a point to the towns about it: fitted with roadgen's constants.
	localCircuity = 1.25
)

// RoadKm estimates the way by road from a to b, which is exactly the same from b
// to a. It is never shorter than the great circle. If either point is not valid
// it is NaN and there is no road. From is quicker for many ways from one point.
func RoadKm(a, b Point) Road {
	if o := origins.cached(b); o != nil && origins.cached(a) == nil {
		return o.Road(a)
	}
	return From(a).Road(b)
}

// MinCircuity is the least that RoadKm can make of a great circle: no place
// within a road distance is further than that over MinCircuity as the crow
// flies. It is a hair below the constant, for the rounding of a division.
func MinCircuity() float64 { return leastCircuity * (1 - 1e-12) }

// roadOf is the estimate for a way of so many kilometres between two points,
// whose great circle is straight.
func roadOf(a, b Point, straight, km, ship float64) Road {
	km = max(km, leastCircuity*straight)
	spread := spreadOf(km)
	if !dense(a) || !dense(b) {
		spread *= thinSpread
	}
	return Road{Km: km, LowKm: max(km*(1-spread), straight), HighKm: km * (1 + spread), ShipKm: ship}
}

// spreadOf is how far off a tenth of estimates are to either side, as a share:
// less for long ways, on which roads that go round and roads that go straight
// make up for one another. Fitted to the check tables; see TestRoadTable.
func spreadOf(km float64) float64 { return 0.04 + 0.5/math.Sqrt(km+15) }

// thinSpread is how much wider the range is where the gazetteer has only the
// larger towns, as in Turkey.
const thinSpread = 1.9

// dense tells whether the gazetteer has all towns about a point: in North America
// and Europe, roughly.
func dense(p Point) bool {
	return p.Lat > 13 && p.Lng < -30 || p.Lat > 34.5 && p.Lng < 26
}

func noRoad(straight float64) Road {
	return Road{Km: noRoadCircuity * straight, LowKm: straight, HighKm: 1.65 * straight, None: true}
}
