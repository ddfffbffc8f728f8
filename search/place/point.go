package place

import (
	"math"

	"heirpress/search/place/internal/sphere"
)

// Unit is a point as one of a globe of radius 1: between two of those it is
// quickly told which other is nearer in a straight line.
type Unit = sphere.Vector

// Unit is the point on a globe of radius 1.
func (p Point) Unit() Unit { return sphere.Of(p.Lat, p.Lng) }

// StraightKm is the great circle between two points in kilometres, but for
// rounding in the ninth figure. It is quicker than GreatCircleKm.
func StraightKm(a, b Unit) float64 { return EarthRadiusKm * a.Angle(b) }

// EarthRadiusKm is the mean radius of the Earth, in kilometres: the IUGG value
// R1 = (2a+b)/3 of the GRS 80 ellipsoid (Moritz, "Geodetic Reference System
// 1980", Journal of Geodesy 74, 2000).
const EarthRadiusKm = 6371.0088

// KmPerMile is the length of the international mile in kilometres: exactly
// 1.609344, by the yard and pound agreement of 1959.
const KmPerMile = 1.609344

// Point is a position in degrees, WGS 84.
type Point struct{ Lat, Lng float64 }

// Valid tells whether p is on the globe: both degrees finite, the latitude
// within ±90 and the longitude within ±180.
func (p Point) Valid() bool {
	// Written so that NaN, which fails every comparison, is not valid.
	return math.Abs(p.Lat) <= 90 && math.Abs(p.Lng) <= 180
}

// GreatCircleKm is the distance in kilometres from a to b over the surface of
// a sphere of EarthRadiusKm, by the haversine formula. The Earth is not quite a
// sphere, so it may be wrong by up to about 0.5 %. A point that is not valid
// has no distance to anything: the answer is NaN.
func GreatCircleKm(a, b Point) float64 {
	if !a.Valid() || !b.Valid() {
		return math.NaN()
	}
	const rad = math.Pi / 180
	north := math.Sin((b.Lat - a.Lat) * rad / 2)
	east := math.Sin((b.Lng - a.Lng) * rad / 2)
	// The cosines are multiplied together first: the product then comes out the
	// same whichever end is named first.
	h := north*north + (math.Cos(a.Lat*rad)*math.Cos(b.Lat*rad))*(east*east)
	return 2 * EarthRadiusKm * math.Asin(math.Sqrt(min(h, 1)))
}
