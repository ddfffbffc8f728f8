// Package sphere has points of the unit sphere, between which distances are
// quickly had.
package sphere

import "math"

// EarthRadiusKm is the mean radius of the Earth, in kilometres; see place.
const EarthRadiusKm = 6371.0088

const rad = math.Pi / 180

// Vector is a point of the unit sphere.
type Vector [3]float64

// At is the point at a latitude and a longitude, in degrees.
func At(lat, lng float64) Vector {
	c := math.Cos(lat * rad)
	return Vector{c * math.Cos(lng*rad), c * math.Sin(lng*rad), math.Sin(lat * rad)}
}

// Degrees is where the point is, or what the vector points to.
func (v Vector) Degrees() (lat, lng float64) {
	return math.Atan2(v[2], math.Hypot(v[0], v[1])) / rad, math.Atan2(v[1], v[0]) / rad
}

// Chord2 is the square of the chord to w. It goes with the great circle, and is
// the quickest to compare by.
func (v Vector) Chord2(w Vector) float64 {
	x, y, z := v[0]-w[0], v[1]-w[1], v[2]-w[2]
	return x*x + y*y + z*z
}

// Km is the great circle to w, on a sphere of EarthRadiusKm.
func (v Vector) Km(w Vector) float64 {
	return 2 * EarthRadiusKm * math.Asin(min(1, math.Sqrt(v.Chord2(w))/2))
}

// Toward is the point that part of the straight way to w is done at.
func (v Vector) Toward(w Vector, part float64) Vector {
	return Vector{v[0] + part*(w[0]-v[0]), v[1] + part*(w[1]-v[1]), v[2] + part*(w[2]-v[2])}
}
