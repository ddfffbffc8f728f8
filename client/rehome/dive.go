package rehome

import (
	"cmp"
	"slices"
)

// dive makes a plan out of the mixture: it settles the bundles that are taken
// most, lets the prices of what is left find their level again, and goes on so.
// A plan better than the best is kept.
func (s *solver) dive() {
	basis := slices.Clone(s.master.basis)
	defer s.master.restore(basis)
	d := &diving{s: s, gone: make([]bool, s.p.lots), done: make([]bool, len(s.p.seekers))}
	for !s.stop() {
		shares := s.surest()
		if len(shares) == 0 {
			return
		}
		for i, sh := range shares {
			if i == 0 || sh.amount > sure {
				d.settle(sh.bundle)
			}
		}
		d.level()
		s.round(d.settled)
	}
}

const (
	// sure is how much of a bundle is as good as all of it.
	sure = 0.99
	// levels is how often the prices are asked again in one step of a dive.
	levels = 3
)

// diving is what a dive has settled so far.
type diving struct {
	s       *solver
	gone    []bool // lots
	done    []bool // seekers
	settled []int  // options
}

func (d *diving) settle(b *bundle) {
	d.settled = append(d.settled, b.options...)
	d.done[b.seeker] = true
	for _, l := range b.lots {
		d.gone[l] = true
	}
}

func (d *diving) open(seeker int, lots []int) bool {
	return !d.done[seeker] && !slices.ContainsFunc(lots, func(l int) bool { return d.gone[l] })
}

func (d *diving) level() {
	d.s.master.allow(func(b *bundle) float64 {
		if d.open(b.seeker, b.lots) {
			return float64(b.points)
		}
		return barred
	})
	own := d.s.having(d.open)
	for range levels {
		d.s.master.solve(d.s.stop)
		if got := d.s.ask(own, d.s.master.prices(), ruling{}, fewSteps); got.made == 0 || d.s.stop() {
			return
		}
	}
	d.s.master.solve(d.s.stop)
}

// surest is what the mixture takes, the most of first.
func (s *solver) surest() []share {
	shares := s.master.shares()
	slices.SortStableFunc(shares, func(a, b share) int {
		return cmp.Or(cmp.Compare(b.amount, a.amount), cmp.Compare(b.bundle.points, a.bundle.points))
	})
	return shares
}

// round makes a plan of the mixture: what is settled, then the bundles it takes
// most of, then whatever still fits.
func (s *solver) round(settled []int) {
	order := slices.Clone(settled)
	for _, sh := range s.surest() {
		order = append(order, sh.bundle.options...)
	}
	chosen, points := newRoom(s.p).fill(append(order, s.order...))
	if points > s.points {
		s.best, s.points = chosen, points
	}
}
