package chart

import (
	"math"

	"heirpress/search/place"
)

// xy is a point of the drawing or of the plane: x to the east or right.
type xy struct{ x, y float64 }

// projection is Lambert's azimuthal equal-area projection of a sphere (Snyder,
// "Map Projections: A Working Manual", USGS Professional Paper 1395, 1987,
// equations 24-2 to 24-4 and 20-14 to 20-18): areas are true, and near its
// middle so are distances.
type projection struct {
	radius         float64
	lat, lng       float64 // of the middle, in radians
	sinLat, cosLat float64
}

const radians = math.Pi / 180

func newProjection(middle place.Point, radius float64) projection {
	lat := middle.Lat * radians
	return projection{radius: radius, lat: lat, lng: middle.Lng * radians, sinLat: math.Sin(lat), cosLat: math.Cos(lat)}
}

// forward gives the point of the plane, y to the north. The point opposite the
// middle has none, and is put as far away as any.
func (p projection) forward(at place.Point) xy {
	sin, cos := math.Sincos(at.Lat * radians)
	sinEast, cosEast := math.Sincos(at.Lng*radians - p.lng)
	k := math.Sqrt(2 / max(1+p.sinLat*sin+p.cosLat*cos*cosEast, 1e-9))
	return xy{p.radius * k * cos * sinEast, p.radius * k * (p.cosLat*sin - p.sinLat*cos*cosEast)}
}

// inverse gives the point of the globe, and whether there is one.
func (p projection) inverse(at xy) (place.Point, bool) {
	rho := math.Hypot(at.x, at.y)
	if rho == 0 {
		return place.Point{Lat: p.lat / radians, Lng: p.lng / radians}, true
	}
	if rho > 2*p.radius {
		return place.Point{}, false
	}
	sin, cos := math.Sincos(2 * math.Asin(rho/(2*p.radius)))
	lat := math.Asin(min(1, max(-1, cos*p.sinLat+at.y*sin*p.cosLat/rho)))
	lng := p.lng + math.Atan2(at.x*sin, rho*p.cosLat*cos-at.y*p.sinLat*sin)
	return place.Point{Lat: lat / radians, Lng: math.Remainder(lng/radians, 360)}, true
}
