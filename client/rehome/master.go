package rehome

import (
	"math"
	"slices"
)

// master is the linear program over the bundles known so far: how much of each
// to take so that no lot is taken more than once and no seeker has more than one
// bundle. It gives the prices of the lots. It is solved by the primal simplex
// method with an explicit inverse, which stays mostly zeros here.
//
// The answer of the whole does not hang on its arithmetic: a plan is checked
// option by option, and a bound holds for any prices whatever.
type master struct {
	lots    int
	bundles []bundle
	cost    []float64
	in      []bool // whether a bundle is in the basis

	basis   []int       // the bundle of each row, or slackOf
	inverse [][]float64 // by columns: most are a single 1 and cost nothing
	right   []float64   // the values of the basis
	duals   []float64

	// far and farSlack are the weights of the devex rule, and line a row's room.
	far, farSlack, line []float64
	age                 int
}

// slackOf marks a row in which nothing is taken but its slack; slackOf-i is the
// slack of row i.
const slackOf = -1

const (
	tiny = 1e-7
	// barred is the cost of a bundle that may not be taken now.
	barred = -1e7
	// nudge sets the rows apart a little, so that no two of them tie and the
	// method cannot go round in circles.
	nudge = 1e-5
)

// mostPivots bounds one solve: beyond it the prices are good enough to ask at.
const mostPivots = 4000

// mostAge is how many steps an inverse is kept up before it is made anew: every
// step adds a little error.
const mostAge = 500

func newMaster(lots, seekers int) *master {
	rows := lots + seekers
	m := &master{lots: lots, basis: make([]int, rows), right: make([]float64, rows), duals: make([]float64, rows), inverse: make([][]float64, rows), line: make([]float64, rows)}
	for i := range rows {
		m.inverse[i] = make([]float64, rows)
		m.farSlack = append(m.farSlack, 1)
	}
	m.clear()
	return m
}

// clear takes everything out of the basis.
func (m *master) clear() {
	for i := range m.basis {
		m.basis[i] = slackOf - i
		clear(m.inverse[i])
		m.inverse[i][i] = 1
		_, frac := math.Modf(float64(i+1) * math.Phi)
		m.right[i] = 1 + nudge*frac
	}
	clear(m.in)
	clear(m.duals)
	m.age = 0
}

// renew makes the inverse anew.
func (m *master) renew() { m.restore(slices.Clone(m.basis)) }

// restore goes to a basis and makes its inverse from the bundles in it.
func (m *master) restore(basis []int) {
	m.clear()
	stays := make([]bool, len(basis)) // rows whose slack is in the basis
	for _, j := range basis {
		if j < 0 {
			stays[slackOf-j] = true
		}
	}
	for _, j := range basis {
		if j < 0 {
			continue
		}
		column, row := m.column(j), -1
		for i, c := range column {
			if !stays[i] && m.basis[i] < 0 && math.Abs(c) > 1e-6 && (row < 0 || math.Abs(c) > math.Abs(column[row])) {
				row = i
			}
		}
		if row >= 0 {
			m.pivot(j, row, m.gain(&m.bundles[j], m.cost[j]), column)
		}
	}
}

func (m *master) add(b bundle, cost float64) {
	m.bundles = append(m.bundles, b)
	m.cost = append(m.cost, cost)
	m.in = append(m.in, false)
	m.far = append(m.far, 1)
}

// allow says what each bundle counts for from now on.
func (m *master) allow(cost func(*bundle) float64) {
	for j := range m.bundles {
		m.cost[j] = cost(&m.bundles[j])
	}
	for c, column := range m.inverse {
		m.duals[c] = 0
		for i, j := range m.basis {
			if j >= 0 && column[i] != 0 {
				m.duals[c] += m.cost[j] * column[i]
			}
		}
	}
}

// gain is what a little more of a bundle that counts for so much would add.
func (m *master) gain(b *bundle, cost float64) float64 {
	cost -= m.duals[m.lots+b.seeker]
	for _, l := range b.lots {
		cost -= m.duals[l]
	}
	return cost
}

// worth tells whether some of a bundle would be taken.
func (m *master) worth(b *bundle, cost float64) bool { return m.gain(b, cost) > 1e-6 }

// solve improves until nothing can, or stop says so.
func (m *master) solve(stop func() bool) {
	for n := range mostPivots {
		if m.age++; m.age > mostAge {
			m.renew()
		}
		j, gain := m.entering()
		if gain <= slack || n%64 == 63 && stop() {
			return
		}
		column := m.column(j)
		row := m.leaving(column)
		if row < 0 {
			return // cannot be: every column is bounded by its rows
		}
		m.weigh(j, row, column[row])
		m.pivot(j, row, gain, column)
	}
}

// entering is the bundle or slack whose gain is greatest for how far it would
// have to go (devex pricing): 0 gain if none has any.
func (m *master) entering() (j int, gain float64) {
	var best float64
	for k := range m.bundles {
		if m.in[k] || m.cost[k] == barred {
			continue
		}
		if g := m.gain(&m.bundles[k], m.cost[k]); g > slack && g*g > best*m.far[k] {
			j, gain, best = k, g, g*g/m.far[k]
		}
	}
	for i, d := range m.duals {
		if -d > slack && d*d > best*m.farSlack[i] {
			j, gain, best = slackOf-i, -d, d*d/m.farSlack[i]
		}
	}
	return j, gain
}

// weigh keeps up what the devex rule knows of how far each one would have to go.
func (m *master) weigh(j, row int, at float64) {
	base := m.farOf(j)
	if base > tooFar {
		m.reset()
		base = 1
	}
	line := m.line
	for c, of := range m.inverse {
		line[c] = of[row]
		if line[c] != 0 {
			r := line[c] / at
			m.farSlack[c] = max(m.farSlack[c], r*r*base)
		}
	}
	for k := range m.bundles {
		if m.in[k] || m.cost[k] == barred {
			continue
		}
		b := &m.bundles[k]
		v := line[m.lots+b.seeker]
		for _, l := range b.lots {
			v += line[l]
		}
		if v != 0 {
			r := v / at
			m.far[k] = max(m.far[k], r*r*base)
		}
	}
	left := max(base/(at*at), 1)
	if old := m.basis[row]; old >= 0 {
		m.far[old] = left
	} else {
		m.farSlack[slackOf-old] = left
	}
}

// tooFar is a weight at which the devex rule begins afresh.
const tooFar = 1e6

func (m *master) reset() {
	for k := range m.far {
		m.far[k] = 1
	}
	for i := range m.farSlack {
		m.farSlack[i] = 1
	}
}

func (m *master) farOf(j int) float64 {
	if j < 0 {
		return m.farSlack[slackOf-j]
	}
	return m.far[j]
}

// column is a bundle, or a slack, in terms of the basis.
func (m *master) column(j int) []float64 {
	if j < 0 {
		return slices.Clone(m.inverse[slackOf-j])
	}
	b := &m.bundles[j]
	column := slices.Clone(m.inverse[m.lots+b.seeker])
	for _, l := range b.lots {
		for i, v := range m.inverse[l] {
			column[i] += v
		}
	}
	return column
}

// leaving is the row that reaches 0 first; among those that nearly do, the one
// with the greatest pivot (the ratio test of Harris).
func (m *master) leaving(column []float64) int {
	reach := math.Inf(1)
	for i, c := range column {
		if c > tiny {
			reach = min(reach, (max(m.right[i], 0)+nudge/100)/c)
		}
	}
	row := -1
	for i, c := range column {
		if c > tiny && max(m.right[i], 0)/c <= reach && (row < 0 || c > column[row]) {
			row = i
		}
	}
	return row
}

func (m *master) pivot(j, row int, gain float64, column []float64) {
	at := column[row]
	var touched []int
	for i, c := range column {
		if i != row && math.Abs(c) > 1e-12 {
			touched = append(touched, i)
		}
	}
	for c, of := range m.inverse {
		if of[row] == 0 {
			continue
		}
		times := of[row] / at
		m.duals[c] += gain * times
		for _, i := range touched {
			of[i] -= times * column[i]
		}
		of[row] = times
	}
	step := m.right[row] / at
	for _, i := range touched {
		m.right[i] -= column[i] * step
	}
	m.right[row] = step
	m.enter(j, row)
}

func (m *master) enter(j, row int) {
	if old := m.basis[row]; old >= 0 {
		m.in[old] = false
	}
	if m.basis[row] = j; j >= 0 {
		m.in[j] = true
	}
}

// prices are what the lots cost a bundle, none below 0.
func (m *master) prices() []float64 {
	prices := make([]float64, m.lots)
	for i := range prices {
		prices[i] = max(m.duals[i], 0)
	}
	return prices
}

// share is how much of a bundle is taken.
type share struct {
	bundle *bundle
	amount float64
}

// shares are the bundles that are taken in part or whole.
func (m *master) shares() []share {
	var all []share
	for i, j := range m.basis {
		if j >= 0 && m.cost[j] != barred && m.right[i] > 1e-3 {
			all = append(all, share{&m.bundles[j], m.right[i]})
		}
	}
	return all
}
