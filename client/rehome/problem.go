package rehome

// problem is a plan to be made, bare of everything but its figures. At most one
// option may take a lot, and at most one may meet a want; what a seeker takes
// must stay within the seeker's limits. The sum of the points is to be as great
// as can be.
type problem struct {
	lots    int
	seekers []limits
	options []option
}

// limits are what one seeker can take in all.
type limits struct {
	wants int
	// budget is in thousandths of a unit of the seeker's currency and payload in
	// grams; none means no limit.
	budget, payload int64
}

// none marks a limit that nobody has set.
const none = -1

// option is one or more lots going to one seeker.
type option struct {
	seeker int
	lots   []int
	// wants are those it meets, by their number in the seeker's list; at least one.
	wants []int
	// points are what it is worth to the plan; more than 0.
	points int64
	// price and weight count against the seeker's limits, in their units.
	price, weight int64
}

// answer is a solved problem.
type answer struct {
	// chosen are the options taken, by number, in order.
	chosen []int
	// points are theirs, and bound is what no plan can exceed. The plan is proven
	// best where the two are the same.
	points, bound int64
	// greedy is what taking the best option first would come to.
	greedy int64
}

// load is what a seeker has taken so far.
type load struct{ price, weight int64 }

func (l limits) allow(has load) bool {
	return (l.budget == none || has.price <= l.budget) && (l.payload == none || has.weight <= l.payload)
}

func (a load) plus(o *option) load { return load{a.price + o.price, a.weight + o.weight} }

// room is what is still free while options are taken one by one.
type room struct {
	p     *problem
	taken []bool
	met   [][]bool
	loads []load
}

func newRoom(p *problem) *room {
	r := &room{p: p, taken: make([]bool, p.lots), met: make([][]bool, len(p.seekers)), loads: make([]load, len(p.seekers))}
	for i, s := range p.seekers {
		r.met[i] = make([]bool, s.wants)
	}
	return r
}

func (r *room) fits(o *option) bool {
	for _, l := range o.lots {
		if r.taken[l] {
			return false
		}
	}
	for _, w := range o.wants {
		if r.met[o.seeker][w] {
			return false
		}
	}
	return r.p.seekers[o.seeker].allow(r.loads[o.seeker].plus(o))
}

func (r *room) take(o *option) {
	for _, l := range o.lots {
		r.taken[l] = true
	}
	for _, w := range o.wants {
		r.met[o.seeker][w] = true
	}
	r.loads[o.seeker] = r.loads[o.seeker].plus(o)
}

// fill takes every option that still fits, in the order given.
func (r *room) fill(order []int) (chosen []int, points int64) {
	for _, i := range order {
		if o := &r.p.options[i]; r.fits(o) {
			r.take(o)
			chosen = append(chosen, i)
			points += o.points
		}
	}
	return chosen, points
}
