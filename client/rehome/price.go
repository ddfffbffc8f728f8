package rehome

import (
	"math"
	"slices"
)

// learn makes the bundles of a plan known to the linear program.
func (s *solver) learn(plan []int) {
	each := make([][]int, len(s.p.seekers))
	for _, i := range plan {
		seeker := s.p.options[i].seeker
		each[seeker] = append(each[seeker], i)
	}
	for seeker, options := range each {
		if len(options) > 0 {
			b := s.p.bundleOf(seeker, options)
			s.master.add(b, float64(b.points))
		}
	}
}

// How many steps a search for a bundle may take: few while any new bundle is
// welcome, and more each time that none is found, until they are no matter.
const (
	fewSteps  = 300
	mostSteps = 3_000_000
	moreTimes = 10
)

// price finds the prices of the lots at which the bound of a node is least, and
// makes the bundles that this takes. It returns false if it was stopped.
//
// The prices asked at are drawn towards the best so far, or the first rounds
// would leap from one end to the other (smoothing after Wentges).
func (s *solver) price(n *node) bool {
	may := s.may(n.rules)
	s.master.allow(may.bundle)
	own := s.having(may.lots)
	var best []float64
	for pull, steps := 0.5, fewSteps; ; {
		if s.stop() {
			return false
		}
		s.master.solve(s.stop)
		ask := s.master.prices()
		if best != nil && pull > 0 {
			ask = between(ask, best, pull)
		}
		got := s.ask(own, ask, may, steps)
		if got.bound < n.bound {
			n.bound, best = got.bound, ask
		}
		if s.beaten(n.bound) {
			return true
		}
		s.round(nil)
		switch {
		case got.made > 0:
			pull = 0.5
		case pull > 0:
			pull = 0
		case !got.through && steps < mostSteps:
			steps *= moreTimes
		default:
			return true
		}
	}
}

// between is on the way from one to another.
func between(from, to []float64, share float64) []float64 {
	at := make([]float64, len(from))
	for i := range at {
		at[i] = from[i] + share*(to[i]-from[i])
	}
	return at
}

// asked is what comes of asking every seeker for a bundle.
type asked struct {
	// bound is what no plan exceeds, and made how many bundles were new and worth
	// having.
	bound float64
	made  int
	// through is true where every search got through.
	through bool
}

// ask looks for every seeker's best bundle at prices of the lots.
func (s *solver) ask(own [][]int, prices []float64, may ruling, steps int) asked {
	got := asked{through: true}
	for _, p := range prices {
		got.bound += p
	}
	prices = s.lured(prices, may)
	for seeker, options := range own {
		if len(options) == 0 {
			continue
		}
		if s.stop() {
			return asked{bound: math.Inf(1)}
		}
		b, most, through := s.p.pack(seeker, options, prices, steps)
		got.through = got.through && through
		got.bound += max(most-float64(may.given[seeker])*s.lure, 0)
		if cost := may.bundle(&b); len(b.options) > 0 && s.master.worth(&b, cost) {
			s.master.add(b, cost)
			got.made++
		}
	}
	return got
}

// lured takes so much off the price of the lots that are given away that whoever
// is to have them takes them.
func (s *solver) lured(prices []float64, may ruling) []float64 {
	if len(may.only) == 0 {
		return prices
	}
	prices = slices.Clone(prices)
	for l := range may.only {
		prices[l] -= s.lure
	}
	return prices
}

// ruling is what the rules of a node leave of who may have what.
type ruling struct {
	only   map[int]int // lot to the seeker it goes to
	given  map[int]int // seeker to how many lots go to them
	barred map[[2]int]bool
}

func (s *solver) may(rules []rule) ruling {
	r := ruling{only: map[int]int{}, given: map[int]int{}, barred: map[[2]int]bool{}}
	for _, rule := range rules {
		if rule.never {
			r.barred[[2]int{rule.lot, rule.seeker}] = true
		} else {
			r.only[rule.lot] = rule.seeker
			r.given[rule.seeker]++
		}
	}
	return r
}

func (r ruling) lots(seeker int, lots []int) bool {
	for _, l := range lots {
		if only, ok := r.only[l]; ok && only != seeker || r.barred[[2]int{l, seeker}] {
			return false
		}
	}
	return true
}

// bundle is what a bundle counts for in the linear program under a ruling: its
// points, or barred.
func (r ruling) bundle(b *bundle) float64 {
	has := 0
	for _, l := range b.lots {
		if _, ok := r.only[l]; ok {
			has++
		}
	}
	if has < r.given[b.seeker] || !r.lots(b.seeker, b.lots) {
		return barred
	}
	return float64(b.points)
}

// having are the options of each seeker that may be had.
func (s *solver) having(may func(seeker int, lots []int) bool) [][]int {
	own := make([][]int, len(s.own))
	for seeker, options := range s.own {
		for _, i := range options {
			if may(seeker, s.p.options[i].lots) {
				own[seeker] = append(own[seeker], i)
			}
		}
	}
	return own
}

// split picks the lot and the seeker between whom the mixture is least decided.
// It returns false if all is decided: the mixture is then a plan.
func (s *solver) split(rules []rule) (lot, seeker int, ok bool) {
	amounts := map[[2]int]float64{}
	for _, sh := range s.master.shares() {
		for _, l := range sh.bundle.lots {
			amounts[[2]int{l, sh.bundle.seeker}] += sh.amount
		}
	}
	for _, r := range rules {
		delete(amounts, [2]int{r.lot, r.seeker})
	}
	least := 0.5 - 0.02
	for pair, amount := range amounts {
		off := math.Abs(amount - 0.5)
		if off > least || off == least && ok && !before(pair, [2]int{lot, seeker}) {
			continue
		}
		lot, seeker, ok, least = pair[0], pair[1], true, off
	}
	return lot, seeker, ok
}

func before(a, b [2]int) bool { return a[0] < b[0] || a[0] == b[0] && a[1] < b[1] }
