package rehome

import (
	"cmp"
	"slices"
)

// bundle is what one seeker might take: options that go together within the
// seeker's limits.
type bundle struct {
	seeker  int
	options []int
	lots    []int
	points  int64
}

// pick is an option at its value net of the prices of its lots.
type pick struct {
	option int
	net    float64
}

// packer finds the best bundle of one seeker at given prices of the lots. It
// looks at the wants in turn and tries every pick for each, the best first,
// cutting off what cannot beat the best so far.
type packer struct {
	p     *problem
	lim   limits
	taken []bool // lots of the bundle so far
	met   []bool
	// choices are the picks of each want; an option that meets several stands
	// with its first.
	choices [][]pick
	// rest[w] is no less than what the wants from w on can add.
	rest []float64
	// Where limits bind, price and weight carry a charge: priced[w] is no less
	// than what the wants from w on can add net of it.
	charge charge
	priced []float64

	now, best    []int
	has          load
	value, found float64
	// steps counts down; open is no less than what was left untried at 0.
	steps int
	open  float64
}

// charge is what a unit of each limit costs.
type charge struct{ price, weight float64 }

func (c charge) of(has load) float64 {
	return c.price*float64(has.price) + c.weight*float64(has.weight)
}

// mostSteps bounds one search for a bundle. What it leaves open counts as a gap.
const mostSteps = 200_000

// pack is the best bundle among a seeker's options at the prices of the lots,
// what it is worth net of them, and what no bundle exceeds.
func (p *problem) pack(seeker int, options []int, prices []float64) (b bundle, bound float64) {
	k := &packer{p: p, lim: p.seekers[seeker], steps: mostSteps}
	k.sort(seeker, options, prices)
	k.rest = k.suffix(charge{})
	if k.priced = k.rest; !k.easy() {
		k.charge = k.charges()
		k.priced = k.suffix(k.charge)
	}
	k.taken, k.met = make([]bool, p.lots), make([]bool, k.lim.wants)
	k.search(0)
	return p.bundleOf(seeker, k.best), max(k.found, k.open)
}

func (p *problem) bundleOf(seeker int, options []int) bundle {
	b := bundle{seeker: seeker, options: slices.Clone(options)}
	for _, i := range options {
		b.points += p.options[i].points
		b.lots = append(b.lots, p.options[i].lots...)
	}
	slices.Sort(b.lots)
	return b
}

func (k *packer) sort(seeker int, options []int, prices []float64) {
	k.choices = make([][]pick, k.lim.wants)
	for _, i := range options {
		o := &k.p.options[i]
		net := float64(o.points)
		for _, l := range o.lots {
			net -= prices[l]
		}
		if net > 0 && k.lim.allow(load{}.plus(o)) {
			first := slices.Min(o.wants)
			k.choices[first] = append(k.choices[first], pick{i, net})
		}
	}
	for _, c := range k.choices {
		slices.SortStableFunc(c, func(a, b pick) int { return cmp.Compare(b.net, a.net) })
	}
}

// suffix is what the wants from each on can add at most, net of a charge.
func (k *packer) suffix(c charge) []float64 {
	sums := make([]float64, len(k.choices)+1)
	for w := len(k.choices) - 1; w >= 0; w-- {
		best := 0.0
		for _, pick := range k.choices[w] {
			best = max(best, pick.net-c.of(load{}.plus(&k.p.options[pick.option])))
		}
		sums[w] = sums[w+1] + best
	}
	return sums
}

// easy tells whether the dearest and the heaviest pick of every want would do
// together, so that the limits play no part.
func (k *packer) easy() bool {
	var all load
	for _, c := range k.choices {
		var most load
		for _, pick := range c {
			o := &k.p.options[pick.option]
			most = load{max(most.price, o.price), max(most.weight, o.weight)}
		}
		all = load{all.price + most.price, all.weight + most.weight}
	}
	return k.lim.allow(all)
}

// charges looks for the charges that make the bound of the whole least; any
// charges give a bound.
func (k *packer) charges() charge {
	var c charge
	for range 3 {
		if k.lim.budget > 0 {
			c.price = k.cheapest(k.lim.budget, func(v float64) charge { return charge{v, c.weight} })
		}
		if k.lim.payload > 0 {
			c.weight = k.cheapest(k.lim.payload, func(v float64) charge { return charge{c.price, v} })
		}
	}
	return c
}

// cheapest searches one charge, in which the bound is convex, by thirds.
func (k *packer) cheapest(limit int64, with func(float64) charge) float64 {
	at := func(v float64) float64 {
		c := with(v)
		return k.suffix(c)[0] + c.of(k.room(load{}))
	}
	low, high := 0.0, k.rest[0]/float64(limit)
	for range 20 {
		a, b := low+(high-low)/3, high-(high-low)/3
		if at(a) <= at(b) {
			high = b
		} else {
			low = a
		}
	}
	return (low + high) / 2
}

// room is what is left of the limits; 0 where there is none, for its charge is 0
// too.
func (k *packer) room(has load) load {
	var left load
	if k.lim.budget != none {
		left.price = k.lim.budget - has.price
	}
	if k.lim.payload != none {
		left.weight = k.lim.payload - has.weight
	}
	return left
}

// atMost is what the bundle so far can still come to with the wants from w on.
func (k *packer) atMost(w int) float64 {
	return k.value + min(k.rest[w], k.priced[w]+k.charge.of(k.room(k.has)))
}

func (k *packer) search(w int) {
	if k.value > k.found {
		k.found, k.best = k.value, append(k.best[:0], k.now...)
	}
	if w == len(k.choices) || k.atMost(w) <= k.found+slack {
		return
	}
	if k.steps--; k.steps < 0 {
		k.open = max(k.open, k.atMost(w))
		return
	}
	if !k.met[w] {
		for _, pick := range k.choices[w] {
			if k.value+pick.net+k.rest[w+1] <= k.found+slack {
				break // the others are worth less still
			}
			k.try(pick, w)
		}
	}
	k.search(w + 1)
}

// slack is a difference in points that is none: points are whole.
const slack = 1e-7

func (k *packer) try(pick pick, w int) {
	o := &k.p.options[pick.option]
	if !k.free(o) {
		return
	}
	before, value := k.has, k.value
	k.mark(o, true)
	k.has, k.value, k.now = k.has.plus(o), k.value+pick.net, append(k.now, pick.option)
	k.search(w + 1)
	k.has, k.value, k.now = before, value, k.now[:len(k.now)-1]
	k.mark(o, false)
}

func (k *packer) free(o *option) bool {
	for _, l := range o.lots {
		if k.taken[l] {
			return false
		}
	}
	for _, w := range o.wants {
		if k.met[w] {
			return false
		}
	}
	return k.lim.allow(k.has.plus(o))
}

func (k *packer) mark(o *option, as bool) {
	for _, l := range o.lots {
		k.taken[l] = as
	}
	for _, w := range o.wants {
		k.met[w] = as
	}
}
