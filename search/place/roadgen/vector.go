package main

import "math"

// vector is a point of the unit sphere.
type vector [3]float64

const earthRadiusKm = 6371.0088

func vectorOf(lat, lng float64) vector {
	const rad = math.Pi / 180
	c := math.Cos(lat * rad)
	return vector{c * math.Cos(lng*rad), c * math.Sin(lng*rad), math.Sin(lat * rad)}
}

func (v vector) degrees() (lat, lng float64) {
	const rad = math.Pi / 180
	return math.Atan2(v[2], math.Hypot(v[0], v[1])) / rad, math.Atan2(v[1], v[0]) / rad
}

// chord2 is the square of the chord to w.
func (v vector) chord2(w vector) float64 {
	x, y, z := v[0]-w[0], v[1]-w[1], v[2]-w[2]
	return x*x + y*y + z*z
}

// km is the great circle to w.
func (v vector) km(w vector) float64 {
	return 2 * earthRadiusKm * math.Asin(min(1, math.Sqrt(v.chord2(w))/2))
}

// toward is the point that part of the straight way to w is done at.
func (v vector) toward(w vector, part float64) vector {
	return vector{v[0] + part*(w[0]-v[0]), v[1] + part*(w[1]-v[1]), v[2] + part*(w[2]-v[2])}
}
