package rehome

import "slices"

// around is how many seekers are looked at together when a plan is polished.
const around = 16

// polish betters a plan a few seekers at a time: what they have and what nobody
// has is shared out among them anew, as well as can be. It ends when a whole round
// of the seekers betters nothing.
func (s *solver) polish() {
	n := len(s.p.seekers)
	if n <= around {
		return
	}
	for better := true; better; {
		better = false
		for at := 0; at < n && !s.stop(); at += around / 2 {
			group := make([]bool, n)
			for i := range around {
				group[(at+i*s.stride())%n] = true
			}
			better = s.share(group) || better
		}
		s.turn++
		better = better || s.turn < 3
	}
}

// stride sets who is looked at together: neighbours in one round, others in the
// next.
func (s *solver) stride() int { return 1 + 6*(s.turn%8) }

// share shares out anew what a group of seekers has and nobody else wants more.
func (s *solver) share(group []bool) bool {
	taken := make([]bool, s.p.lots)
	var kept []int
	var before int64
	for _, i := range s.best {
		o := &s.p.options[i]
		if group[o.seeker] {
			before += o.points
			continue
		}
		kept = append(kept, i)
		for _, l := range o.lots {
			taken[l] = true
		}
	}
	sub := &problem{lots: s.p.lots, seekers: s.p.seekers}
	var number []int
	for i := range s.p.options {
		o := s.p.options[i]
		if group[o.seeker] && !slices.ContainsFunc(o.lots, func(l int) bool { return taken[l] }) {
			sub.options = append(sub.options, o)
			number = append(number, i)
		}
	}
	steps := 2000
	got := sub.solve(func() bool { steps--; return steps < 0 || s.stop() })
	if got.points <= before {
		return false
	}
	for _, i := range got.chosen {
		kept = append(kept, number[i])
	}
	s.best, s.points = kept, s.points+got.points-before
	return true
}
