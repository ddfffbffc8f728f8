// Package sphere reckons with points of the globe as points of a ball of radius 1:
// between two of those the square of the chord is quickly had, and goes with the
// great circle.
package sphere

import "math"

// Vector is a point of the unit sphere.
type Vector [3]float64

const rad = math.Pi / 180

// Of is the point at a latitude and longitude in degrees.
func Of(lat, lng float64) Vector {
	sinLat, cosLat := math.Sincos(lat * rad)
	sinLng, cosLng := math.Sincos(lng * rad)
	return Vector{cosLat * cosLng, cosLat * sinLng, sinLat}
}

// Degrees is the way back: the latitude and longitude of a point, which need not
// be on the surface.
func (v Vector) Degrees() (lat, lng float64) {
	return math.Atan2(v[2], math.Hypot(v[0], v[1])) / rad, math.Atan2(v[1], v[0]) / rad
}

// Chord2 is the square of the chord to w.
func (v Vector) Chord2(w Vector) float64 {
	x, y, z := v[0]-w[0], v[1]-w[1], v[2]-w[2]
	return x*x + y*y + z*z
}

// Angle is the great circle to w, in radians.
func (v Vector) Angle(w Vector) float64 {
	return 2 * math.Asin(min(1, math.Sqrt(v.Chord2(w))/2))
}

// Toward is the point at which part of the straight way to w is done; it lies
// beneath the surface.
func (v Vector) Toward(w Vector, part float64) Vector {
	return Vector{v[0] + part*(w[0]-v[0]), v[1] + part*(w[1]-v[1]), v[2] + part*(w[2]-v[2])}
}
