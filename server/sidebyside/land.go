package main

import (
	"math"

	"heirpress/search/place"
)

// land is where roads lead to one another, and the road is a constant times the
// great circle: what SQL can say of roads.
type land int

const (
	noLand land = iota
	northAmerica
	europe
)

// anchors are a town of each land.
var anchors = map[land]place.Point{northAmerica: {Lat: 41.8781, Lng: -87.6298}, europe: {Lat: 50.1109, Lng: 8.6821}}

// landOf is the land that a point is on, or noLand where the way from its
// anchor is not the great circle times the land's factor.
func landOf(p place.Point) land {
	for l, anchor := range anchors {
		straight, road := place.GreatCircleKm(anchor, p), place.RoadKm(anchor, p)
		if !road.None && math.Abs(road.Km-factor(l)*straight) <= 1e-6*straight {
			return l
		}
	}
	return noLand
}

// factor is how many times the great circle a road is, on a land: as it is
// between its anchor and a point a degree off.
func factor(l land) float64 {
	a := anchors[l]
	b := place.Point{Lat: a.Lat + 1, Lng: a.Lng}
	return place.RoadKm(a, b).Km / place.GreatCircleKm(a, b)
}

// roadsAreFactors tells whether roads are what landOf and factor take them for,
// between some towns of a land.
func roadsAreFactors() bool {
	towns := map[land][]place.Point{
		northAmerica: {{Lat: 40.7128, Lng: -74.0060}, {Lat: 34.0522, Lng: -118.2437}, {Lat: 43.6532, Lng: -79.3832}, {Lat: 41.6639, Lng: -83.5552}},
		europe:       {{Lat: 48.8566, Lng: 2.3522}, {Lat: 53.8008, Lng: -1.5491}, {Lat: 40.4168, Lng: -3.7038}, {Lat: 52.2297, Lng: 21.0122}},
	}
	for l, points := range towns {
		for _, a := range points {
			for _, b := range points {
				if math.Abs(place.RoadKm(a, b).Km-factor(l)*place.GreatCircleKm(a, b)) > 1e-3 {
					return false
				}
			}
		}
	}
	return true
}

// mainland tells whether a point is well inside of one of the lands, roughly.
func mainland(p place.Point) bool {
	america := p.Lat > 25 && p.Lat < 50 && p.Lng > -125 && p.Lng < -66
	old := p.Lat > 36 && p.Lat < 60 && p.Lng > -9 && p.Lng < 25
	return america || old
}
