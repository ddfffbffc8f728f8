package main

import "math"

// unknowns is how many constants there are to fit.
const unknowns = 2*int(regions) + 3

type vec [unknowns]float64

// fields lists the constants in order.
func (c *constants) fields() (all [unknowns]*float64) {
	for r := range regions {
		all[r], all[regions+r] = &c.lane[r], &c.highway[r]
	}
	all[2*regions], all[2*regions+1], all[2*regions+2] = &c.laneRelief, &c.longRelief, &c.highwayRelief
	return all
}

// index is the place of a constant among the fields.
func (c *constants) index(field *float64) int {
	for i, f := range c.fields() {
		if f == field {
			return i
		}
	}
	panic("roadgen: not a constant of these")
}

// sum gathers least squares: the matrix and the right hand of the normal
// equations.
type sum struct {
	m [unknowns]vec
	y vec
}

// newSum begins with a weak belief, so that a constant on which nothing bears
// comes out as one would guess.
func newSum() *sum {
	const belief = 3
	s := new(sum)
	for i := range unknowns {
		s.m[i][i] = belief
		s.y[i] = belief * 1.15
		if i >= 2*int(regions) {
			s.y[i] = belief * 0.1
		}
	}
	return s
}

// add adds an equation: the sum of x times the constants should be y.
func (s *sum) add(x vec, y, weight float64) {
	for i := range unknowns {
		s.y[i] += x[i] * y * weight * weight
		for k := range unknowns {
			s.m[i][k] += x[i] * x[k] * weight * weight
		}
	}
}

// solve finds the constants, by elimination with the largest pivot.
func (s *sum) solve() constants {
	m, y := s.m, s.y
	for i := range unknowns {
		p := i
		for k := i + 1; k < unknowns; k++ {
			if math.Abs(m[k][i]) > math.Abs(m[p][i]) {
				p = k
			}
		}
		m[i], m[p], y[i], y[p] = m[p], m[i], y[p], y[i]
		for k := i + 1; k < unknowns; k++ {
			f := m[k][i] / m[i][i]
			for col := i; col < unknowns; col++ {
				m[k][col] -= f * m[i][col]
			}
			y[k] -= f * y[i]
		}
	}
	var c constants
	fields := c.fields()
	for i := unknowns - 1; i >= 0; i-- {
		v := y[i]
		for k := i + 1; k < unknowns; k++ {
			v -= m[i][k] * *fields[k]
		}
		*fields[i] = v / m[i][i]
	}
	return c
}
