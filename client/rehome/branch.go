package rehome

import (
	"cmp"
	"container/heap"
	"math"
	"slices"
)

// rule narrows a problem at a branch: the lot goes to this seeker; or, where never
// is set, not to this seeker.
type rule struct {
	lot, seeker int
	never       bool
}

// node is a part of all plans: those that keep its rules.
type node struct {
	rules []rule
	// bound is what none of them exceeds.
	bound float64
}

// nodes is the open nodes, the most promising first; among equals the deepest,
// which is the nearest to a plan.
type nodes []*node

func (n nodes) Len() int      { return len(n) }
func (n nodes) Swap(i, j int) { n[i], n[j] = n[j], n[i] }
func (n nodes) Less(i, j int) bool {
	return cmp.Or(cmp.Compare(n[j].bound, n[i].bound), cmp.Compare(len(n[j].rules), len(n[i].rules))) < 0
}
func (n *nodes) Push(x any) { *n = append(*n, x.(*node)) }
func (n *nodes) Pop() any {
	last := (*n)[len(*n)-1]
	*n = (*n)[:len(*n)-1]
	return last
}

// solver finds the best plan by branch and price: bundles are made as the prices
// of the lots ask for them, and where the best mixture of bundles is not a plan,
// the problem is split by whether one lot goes to one seeker.
//
// A bound is the prices of all lots and, for every seeker, the best bundle net of
// them. It holds for any prices, so the proof does not rest on the linear program.
// Points are whole: a bound less than 1 above the plan proves it best.
type solver struct {
	p      *problem
	own    [][]int // the options of each seeker
	order  []int   // all options, the best first
	master *master
	stop   func() bool

	best   []int
	points int64
	// lure is more than anything is worth: it stands for "must".
	lure float64
	turn int
}

// solveWhole is the best plan; if it is stopped, the best found so far and the bound.
func (p *problem) solveWhole(stop func() bool) answer {
	s := &solver{p: p, own: make([][]int, len(p.seekers)), order: p.byPoints(), stop: stop, master: newMaster(p.lots, len(p.seekers))}
	for i := range p.options {
		s.own[p.options[i].seeker] = append(s.own[p.options[i].seeker], i)
	}
	s.best, s.points = p.greedy()
	greedy := s.points
	s.lure = 1 + s.wild()
	s.learn(s.best)
	bound := s.branch()
	slices.Sort(s.best)
	return answer{chosen: s.best, points: s.points, bound: max(bound, s.points), greedy: greedy}
}

// branch goes through the nodes and returns what no plan exceeds.
func (s *solver) branch() int64 {
	open := &nodes{{bound: s.wild()}}
	var left float64 // of nodes that nothing splits, though they are not proven
	for open.Len() > 0 && !s.beaten((*open)[0].bound) {
		n := heap.Pop(open).(*node)
		if !s.price(n) {
			heap.Push(open, n)
			return whole(max(left, (*open)[0].bound))
		}
		if s.beaten(n.bound) {
			continue
		}
		lot, seeker, ok := s.split(n.rules)
		if len(n.rules) == 0 {
			if s.dive(); !s.beaten(n.bound) {
				s.polish()
			}
		}
		if !ok {
			left = max(left, n.bound)
			continue
		}
		for _, never := range []bool{false, true} {
			rules := append(slices.Clone(n.rules), rule{lot, seeker, never})
			heap.Push(open, &node{rules: rules, bound: n.bound})
		}
	}
	return max(s.points, whole(left))
}

// wild is a bound at a glance: every want met as well as can be.
func (s *solver) wild() float64 {
	var sum int64
	for seeker, options := range s.own {
		best := make([]int64, s.p.seekers[seeker].wants)
		for _, i := range options {
			o := &s.p.options[i]
			first := slices.Min(o.wants)
			best[first] = max(best[first], o.points)
		}
		for _, b := range best {
			sum += b
		}
	}
	return float64(sum)
}

// whole is a bound in whole points.
func whole(bound float64) int64 { return int64(math.Floor(bound + 1e-6)) }

// beaten tells whether no plan under a bound is better than the best so far.
func (s *solver) beaten(bound float64) bool { return whole(bound) <= s.points }
