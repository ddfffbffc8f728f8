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
	rank   float64 // net of the toll as well
}

// packer finds the best bundle of one seeker at given prices of the lots. It
// looks at the wants in turn, those first whose picks are hardest on the limits,
// and tries the picks for each, the best first, cutting off what cannot beat the
// best so far.
type packer struct {
	p     *problem
	lim   limits
	taken []bool // lots of the bundle so far
	met   []bool
	// order is the wants as they are looked at. All that follows goes by it.
	order []int
	// choices are the picks of each want; an option that meets several stands
	// with its first.
	choices [][]pick
	// twin is the want before each that the same picks meet just as well, or -1;
	// chosen is the place of the pick that a want has now, -1 for none.
	twin, chosen []int
	// tolls give a bound each; picks are ranked by the last.
	tolls []*toll

	now, best    []int
	has          load
	value, found float64
	// steps counts down; open is no less than what was left untried at 0.
	steps int
	open  float64
}

// pack looks for the best bundle among a seeker's options at the prices of the
// lots, in so many steps. It returns the best that it found, what no bundle
// exceeds net of the prices, and whether it got through.
func (p *problem) pack(seeker int, options []int, prices []float64, steps int) (b bundle, bound float64, through bool) {
	k := &packer{p: p, lim: p.seekers[seeker], steps: steps}
	k.sort(options, prices)
	k.setTolls()
	k.rank()
	k.findTwins()
	k.taken, k.met = make([]bool, p.lots), make([]bool, k.lim.wants)
	k.search(0)
	return p.bundleOf(seeker, k.best), max(k.found, k.open), k.steps >= 0
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

// sort puts the picks that are worth having with their wants.
func (k *packer) sort(options []int, prices []float64) {
	var picks []pick
	several := false // lots in one option
	hard := make([]float64, k.lim.wants)
	for _, i := range options {
		o := &k.p.options[i]
		net := float64(o.points)
		for _, l := range o.lots {
			net -= prices[l]
		}
		if net <= 0 || !k.lim.allow(load{}.plus(o)) {
			continue
		}
		picks = append(picks, pick{option: i, net: net})
		several = several || len(o.lots) > 1
		for _, w := range o.wants {
			hard[w] = max(hard[w], k.lim.part(o))
		}
	}
	k.arrange(hard, picks)
	for w, c := range k.choices {
		slices.SortStableFunc(c, func(a, b pick) int { return cmp.Compare(b.net, a.net) })
		if !several {
			k.choices[w] = k.undominated(c)
		}
	}
}

// part is how much of the limits an option takes, both together.
func (l limits) part(o *option) float64 {
	var part float64
	if l.budget > 0 {
		part += float64(o.price) / float64(l.budget)
	}
	if l.payload > 0 {
		part += float64(o.weight) / float64(l.payload)
	}
	return part
}

// arrange orders the wants, the hardest first, and stands each pick with the first
// of its wants.
func (k *packer) arrange(hard []float64, picks []pick) {
	place := make([]int, k.lim.wants)
	for w := range place {
		k.order = append(k.order, w)
	}
	slices.SortStableFunc(k.order, func(a, b int) int { return cmp.Compare(hard[b], hard[a]) })
	for i, w := range k.order {
		place[w] = i
	}
	k.choices = make([][]pick, k.lim.wants)
	for _, p := range picks {
		first := k.lim.wants
		for _, w := range k.p.options[p.option].wants {
			first = min(first, place[w])
		}
		k.choices[first] = append(k.choices[first], p)
	}
}

// undominated leaves out the picks that something better can always stand in for.
// Where every option takes one lot, the other wants take at most as many lots as
// there are other wants; so a pick goes that as many different lots as there are
// wants are better than, in points, price and weight.
func (k *packer) undominated(sorted []pick) []pick {
	var kept []pick
	for i, p := range sorted {
		if k.betters(sorted[:i], &k.p.options[p.option]) < k.lim.wants {
			kept = append(kept, p)
		}
	}
	return kept
}

// betters is how many different lots among the picks, none of them worth less, are
// as cheap and as light as an option; it does not count beyond the wants.
func (k *packer) betters(picks []pick, o *option) int {
	var lots []int
	for _, q := range picks {
		by := &k.p.options[q.option]
		if len(by.wants) == 1 && by.price <= o.price && by.weight <= o.weight && !slices.Contains(lots, by.lots[0]) {
			if lots = append(lots, by.lots[0]); len(lots) >= k.lim.wants {
				break
			}
		}
	}
	return len(lots)
}

// rank puts the picks of each want in order of what they are worth net of the
// last toll.
func (k *packer) rank() {
	last := k.tolls[len(k.tolls)-1]
	for _, c := range k.choices {
		for i := range c {
			c[i].rank = c[i].net - last.of(&k.p.options[c[i].option])
		}
		slices.SortStableFunc(c, func(a, b pick) int { return cmp.Compare(b.rank, a.rank) })
	}
}

// findTwins finds wants that are alike. Of the ways to share picks out among them
// it is enough to try one, in which each has one further down than the want
// before.
func (k *packer) findTwins() {
	k.twin, k.chosen = make([]int, len(k.choices)), make([]int, len(k.choices))
	for w := range k.choices {
		k.twin[w], k.chosen[w] = -1, -1
		for v := w - 1; v >= 0 && k.twin[w] < 0; v-- {
			if k.alike(k.choices[v], k.choices[w]) {
				k.twin[w] = v
			}
		}
	}
}

// alike tells whether two wants have the same picks: the same lots for the same.
func (k *packer) alike(a, b []pick) bool {
	return slices.EqualFunc(a, b, func(x, y pick) bool {
		o, p := &k.p.options[x.option], &k.p.options[y.option]
		return x.net == y.net && len(o.wants) == 1 && len(p.wants) == 1 && slices.Equal(o.lots, p.lots) && o.price == p.price && o.weight == p.weight
	})
}

// from is the place of the first pick to try for a want.
func (k *packer) from(w int) int {
	v := k.twin[w]
	switch {
	case v < 0 || k.met[k.order[v]] && k.chosen[v] < 0:
		return 0
	case k.chosen[v] < 0:
		return len(k.choices[w])
	}
	return k.chosen[v] + 1
}

// atMost is what the bundle so far can still come to with the wants from w on.
func (k *packer) atMost(w int) float64 {
	most := k.tolls[0].atMost(k, w)
	for _, t := range k.tolls[1:] {
		most = min(most, t.atMost(k, w))
	}
	return k.value + most
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
	if !k.met[k.order[w]] {
		k.tryAll(w)
	}
	k.search(w + 1)
}

func (k *packer) tryAll(w int) {
	most := k.value + k.tolls[len(k.tolls)-1].atMost(k, w+1)
	for i := k.from(w); i < len(k.choices[w]); i++ {
		pick := k.choices[w][i]
		if most+pick.rank <= k.found+slack {
			break // the others are worth less still
		}
		k.chosen[w] = i
		k.try(pick, w)
	}
	k.chosen[w] = -1
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
		for _, t := range k.tolls {
			t.lot(l, as)
		}
	}
	for _, w := range o.wants {
		k.met[w] = as
	}
}
