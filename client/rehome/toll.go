package rehome

// toll is what a bundle is charged, while it is looked for, for what wants or
// options may both lay claim to: money, weight and lots. Any toll, none of it
// below 0, gives a bound: what the wants can add net of the toll, each for itself,
// and the toll of everything that is still to be had.
type toll struct {
	price, weight float64   // of a unit of each limit
	rents         []float64 // of the lots

	rent float64 // of the lots that are not taken
	// adds[w] is no less than what the wants from w on can add net of the toll.
	adds []float64
}

func (t *toll) load(l load) float64 {
	return t.price*float64(l.price) + t.weight*float64(l.weight)
}

func (t *toll) of(o *option) float64 {
	sum := t.load(load{o.price, o.weight})
	for _, l := range o.lots {
		sum += t.rents[l]
	}
	return sum
}

// lot takes a lot out of what is to be had, or puts it back.
func (t *toll) lot(l int, taken bool) {
	if taken {
		t.rent -= t.rents[l]
	} else {
		t.rent += t.rents[l]
	}
}

// atMost is what the wants from w on can add to a packer's bundle.
func (t *toll) atMost(k *packer, w int) float64 {
	return t.adds[w] + t.rent + t.load(k.room(k.has))
}

// setTolls makes the tolls: one of the lots alone, and where the limits may bind
// one of price and weight as well.
func (k *packer) setTolls() {
	lots := &toll{rents: make([]float64, k.p.lots)}
	k.auction(lots)
	k.tolls = append(k.tolls, lots)
	if !k.easy() {
		all := &toll{rents: make([]float64, k.p.lots)}
		k.charge(all)
		k.auction(all)
		k.charge(all)
		k.tolls = append(k.tolls, all)
	}
	for _, t := range k.tolls {
		t.adds = k.adds(t)
		for _, r := range t.rents {
			t.rent += r
		}
	}
}

// adds is what the wants from each on can add at most, net of a toll.
func (k *packer) adds(t *toll) []float64 {
	sums := make([]float64, len(k.choices)+1)
	for w := len(k.choices) - 1; w >= 0; w-- {
		best := 0.0
		for _, pick := range k.choices[w] {
			best = max(best, pick.net-t.of(&k.p.options[pick.option]))
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

// charge sets what a toll is for price and weight.
func (k *packer) charge(t *toll) {
	for range 2 {
		if k.lim.budget > 0 {
			k.cheapest(t, k.lim.budget, &t.price)
		}
		if k.lim.payload > 0 {
			k.cheapest(t, k.lim.payload, &t.weight)
		}
	}
}

// cheapest searches one charge, in which the bound is convex, by thirds.
func (k *packer) cheapest(t *toll, limit int64, charge *float64) {
	at := func(v float64) float64 {
		*charge = v
		return k.adds(t)[0] + t.load(k.room(load{}))
	}
	low, high := 0.0, k.adds(&toll{rents: t.rents})[0]/float64(limit)
	for range 16 {
		a, b := low+(high-low)/3, high-(high-low)/3
		if at(a) <= at(b) {
			high = b
		} else {
			low = a
		}
	}
	*charge = (low + high) / 2
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

// step is by how much a bid at least raises a rent, in points.
const step = 0.05

// auction sets the rents of the lots: wants bid for the pick that is worth most to
// them, as high as it is better than their next, until each has one or none is
// worth having (the auction algorithm of Bertsekas). Options of several lots do
// not bid.
func (k *packer) auction(t *toll) {
	holder := map[int]int{} // lot to want
	var bidders []int
	for w := range k.choices {
		bidders = append(bidders, w)
	}
	for bids := 50 * len(bidders); len(bidders) > 0 && bids > 0; bids-- {
		w := bidders[0]
		bidders = bidders[1:]
		lot, first, second := k.favourite(t, w)
		if first <= 0 {
			continue
		}
		t.rents[lot] += first - second + step
		if out, held := holder[lot]; held {
			bidders = append(bidders, out)
		}
		holder[lot] = w
	}
}

// favourite is the lot worth most to a want net of the toll, and what that and
// the next best are worth; none is worth less than having nothing.
func (k *packer) favourite(t *toll, w int) (lot int, first, second float64) {
	for _, pick := range k.choices[w] {
		o := &k.p.options[pick.option]
		if len(o.lots) != 1 {
			continue
		}
		switch v := pick.net - t.of(o); {
		case v > first:
			lot, first, second = o.lots[0], v, first
		case v > second:
			second = v
		}
	}
	return lot, first, second
}
