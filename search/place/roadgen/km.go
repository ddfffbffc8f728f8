package main

import (
	"heirpress/search/place"
	"heirpress/search/place/internal/sphere"
)

// kmBetween is the great circle between two points, in kilometres.
func kmBetween(a, b sphere.Vector) float64 { return place.EarthRadiusKm * a.Angle(b) }
