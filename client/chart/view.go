package chart

import (
	"math"

	"heirpress/search/place"
)

// The drawing's map is so large, in its own units, and what is shown has so
// much room about it.
const (
	mapWidth  = 1000.0
	mapHeight = 700.0
	roomKm    = 40.0
)

// view is what part of the globe is drawn.
type view struct {
	projection projection
	middle     xy      // of the plane, in kilometres
	scale      float64 // units for each kilometre
}

// viewOf makes a view that shows the origin, every mark, and the widest ring as
// far as it can reach in a straight line.
func viewOf(m Map) view {
	points := shown(m)
	v := view{projection: newProjection(middleOf(points), place.EarthRadiusKm), scale: 1}
	low, high := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	include := func(at xy, km float64) {
		low = xy{min(low.x, at.x-km), min(low.y, at.y-km)}
		high = xy{max(high.x, at.x+km), max(high.y, at.y+km)}
	}
	for _, p := range points {
		include(v.projection.forward(p), roomKm)
	}
	if m.Origin != nil {
		include(v.projection.forward(m.Origin.Point), widest(m.Rings)*place.KmPerMile+roomKm/4)
	}
	v.middle = xy{(low.x + high.x) / 2, (low.y + high.y) / 2}
	v.scale = min(mapWidth/(high.x-low.x), mapHeight/(high.y-low.y))
	return v
}

func shown(m Map) (points []place.Point) {
	if m.Origin != nil {
		points = append(points, m.Origin.Point)
	}
	for _, mark := range m.Marks {
		points = append(points, mark.Town.Point)
	}
	return points
}

// middleOf is the mean direction of points, which no date line disturbs.
func middleOf(points []place.Point) place.Point {
	var x, y, z float64
	for _, p := range points {
		sinLat, cosLat := math.Sincos(p.Lat * radians)
		sinLng, cosLng := math.Sincos(p.Lng * radians)
		x, y, z = x+cosLat*cosLng, y+cosLat*sinLng, z+sinLat
	}
	return place.Point{Lat: math.Atan2(z, math.Hypot(x, y)) / radians, Lng: math.Atan2(y, x) / radians}
}

func widest(rings []float64) (miles float64) {
	for _, ring := range rings {
		miles = max(miles, ring)
	}
	return miles
}

// at is where a point of the globe is drawn.
func (v view) at(p place.Point) xy {
	plane := v.projection.forward(p)
	return xy{mapWidth/2 + (plane.x-v.middle.x)*v.scale, mapHeight/2 - (plane.y-v.middle.y)*v.scale}
}

// pointAt is what point of the globe is drawn there.
func (v view) pointAt(at xy) (place.Point, bool) {
	return v.projection.inverse(xy{(at.x-mapWidth/2)/v.scale + v.middle.x, (mapHeight/2-at.y)/v.scale + v.middle.y})
}
