package main

import (
	"math"

	"heirpress/search/place/internal/roads"
)

// region is a part of the world with constants of its own. The south-east of
// Europe has them since roads there wind more than the heights of its towns tell.
type region int

const (
	northAmericaEast region = iota
	northAmericaWest
	europe
	southEast
	elsewhere
	regions
)

func (r region) String() string {
	return [...]string{"North America east of 100° W", "North America west of it", "Europe", "Europe, south-east", "elsewhere"}[r]
}

func regionOf(t town) region {
	switch {
	case t.lat > 13 && t.lng < -30 && t.lng > -100:
		return northAmericaEast
	case t.lat > 13 && t.lng <= -100:
		return northAmericaWest
	case t.lat > 34.5 && t.lat < 48.5 && t.lng > 13 && t.lng < 26:
		return southEast
	case t.lat > 34.5 && t.lng >= -30 && t.lng < 26:
		return europe
	}
	return elsewhere
}

// constants say how much longer than the straight line a road is: of a region's
// lanes and highways on level ground, and for each hundred metres of relief.
type constants struct {
	lane, highway [regions]float64
	// laneRelief is for neighbouring towns up to loneKm apart, longRelief for those
	// further apart.
	laneRelief, longRelief, highwayRelief float64
}

// fitted are the constants as roadgen -fit finds them.
var fitted = constants{
	lane:          [regions]float64{1.206, 1.296, 1.193, 1.285, 1.132},
	highway:       [regions]float64{1.067, 1.034, 1.092, 1.097, 1.077},
	laneRelief:    0.201,
	longRelief:    0.101,
	highwayRelief: 0.084,
}

const (
	// mostRelief is where roughness, in metres, stops making ways longer: there
	// roads follow the valleys.
	mostRelief = 400
	// A road is never taken to be straighter or more crooked than this.
	leastFactor, mostFactor = 1.02, 1.9
	// roundaboutFactor is for ways along a hook or round a bay: common sense, no
	// source.
	roundaboutFactor = 1.6
)

// factor is how many times the straight line an edge over land is.
func (c constants) factor(e edge, r region) float64 {
	if e.roundabout {
		return roundaboutFactor
	}
	base, rough := c.terms(e, r)
	return min(max(*base+*rough*e.roughness(), leastFactor), mostFactor)
}

// terms are the constants that an edge's factor is made of.
func (c *constants) terms(e edge, r region) (base, rough *float64) {
	switch {
	case e.class == roads.Highway:
		return &c.highway[r], &c.highwayRelief
	case e.km > loneKm:
		return &c.lane[r], &c.longRelief
	}
	return &c.lane[r], &c.laneRelief
}

// roughness is the relief in hundreds of metres.
func (e edge) roughness() float64 { return min(e.relief, mostRelief) / 100 }

// lengths are the edges with their lengths, no shorter than the straight line.
func (n *network) lengths(c constants) []roads.Edge {
	edges := make([]roads.Edge, len(n.edges))
	for i, e := range n.edges {
		km := max(e.given, e.km)
		if e.given == 0 {
			km = e.km * c.factor(e, regionOf(n.nodes[e.a]))
		}
		edges[i] = roads.Edge{A: e.a, B: e.b, Metres: int(math.Ceil(1000 * km)), Class: e.class}
	}
	return edges
}

func (n *network) positions() (lat, lng []float64) {
	for _, t := range n.nodes {
		lat, lng = append(lat, t.lat), append(lng, t.lng)
	}
	return lat, lng
}
