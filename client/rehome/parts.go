package rehome

import "slices"

// solve is the best plan of a problem. What has nothing to do with one another,
// as presses and type often have not, is solved apart. If stop says so, what is
// found so far is returned with the bound that was reached.
func (p *problem) solve(stop func() bool) answer {
	var all answer
	for _, part := range p.parts() {
		a := part.problem.solveWhole(stop)
		all.points, all.bound, all.greedy = all.points+a.points, all.bound+a.bound, all.greedy+a.greedy
		for _, i := range a.chosen {
			all.chosen = append(all.chosen, part.options[i])
		}
	}
	slices.Sort(all.chosen)
	return all
}

// part is a problem within a problem, and what its options are there.
type part struct {
	problem *problem
	options []int
}

// parts divides a problem so that no lot and no seeker is in two parts.
func (p *problem) parts() []part {
	sets := newSets(p.lots + len(p.seekers))
	for i := range p.options {
		for _, l := range p.options[i].lots {
			sets.join(p.lots+p.options[i].seeker, l)
		}
	}
	byRoot := map[int]int{}
	var parts []part
	lot, seeker := make([]int, p.lots), make([]int, len(p.seekers))
	for i := range p.options {
		root := sets.root(p.lots + p.options[i].seeker)
		n, ok := byRoot[root]
		if !ok {
			n = len(parts)
			byRoot[root] = n
			parts = append(parts, part{problem: &problem{}})
		}
		parts[n].add(p, i, lot, seeker)
	}
	return parts
}

// add takes an option into a part. lot and seeker hold the numbers there of what
// the part has already, one more than they are.
func (t *part) add(from *problem, i int, lot, seeker []int) {
	o := from.options[i]
	if seeker[o.seeker] == 0 {
		t.problem.seekers = append(t.problem.seekers, from.seekers[o.seeker])
		seeker[o.seeker] = len(t.problem.seekers)
	}
	o.seeker = seeker[o.seeker] - 1
	o.lots = slices.Clone(o.lots)
	for k, l := range o.lots {
		if lot[l] == 0 {
			t.problem.lots++
			lot[l] = t.problem.lots
		}
		o.lots[k] = lot[l] - 1
	}
	t.problem.options = append(t.problem.options, o)
	t.options = append(t.options, i)
}

// sets are numbers joined into sets.
type sets []int

func newSets(n int) sets {
	s := make(sets, n)
	for i := range s {
		s[i] = i
	}
	return s
}

func (s sets) root(i int) int {
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

func (s sets) join(a, b int) { s[s.root(a)] = s.root(b) }
