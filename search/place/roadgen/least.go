package main

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

// sum gathers least squares: the normal equations, the right hand in the last
// column.
type sum [unknowns][unknowns + 1]float64

// newSum begins with a weak belief, so that a constant on which nothing bears
// comes out as one would guess.
func newSum() *sum {
	const belief = 3
	s := new(sum)
	for i := range unknowns {
		s[i][i] = belief
		s[i][unknowns] = belief * 1.15
		if i >= 2*int(regions) {
			s[i][unknowns] = belief * 0.1
		}
	}
	return s
}

// add adds an equation: the sum of x times the constants should be y.
func (s *sum) add(x vec, y, weight float64) {
	for i := range unknowns {
		s[i][unknowns] += x[i] * y * weight * weight
		for k := range unknowns {
			s[i][k] += x[i] * x[k] * weight * weight
		}
	}
}

// solve finds the constants.
func (s *sum) solve() (c constants) {
	m := *s
	rows := make([][]float64, unknowns)
	for i := range rows {
		rows[i] = m[i][:]
	}
	fields := c.fields()
	for i, v := range solve(rows) {
		*fields[i] = v
	}
	return c
}

// solve solves normal equations, the right hand in the last column, by elimination
// where they stand: of full rank, they need no pivots.
func solve(m [][]float64) []float64 {
	n := len(m)
	for i := range n {
		for k := i + 1; k < n; k++ {
			f := m[k][i] / m[i][i]
			for c := i; c <= n; c++ {
				m[k][c] -= f * m[i][c]
			}
		}
	}
	x := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		x[i] = m[i][n]
		for c := i + 1; c < n; c++ {
			x[i] -= m[i][c] * x[c]
		}
		x[i] /= m[i][i]
	}
	return x
}
