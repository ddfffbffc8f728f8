package rehome

import (
	"cmp"
	"slices"
)

// byPoints is the numbers of a problem's options, the best first. Among equals
// the one that stands first is.
func (p *problem) byPoints() []int {
	order := make([]int, len(p.options))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p.options[b].points, p.options[a].points) })
	return order
}

// greedy takes the best option that still fits, again and again: what a person
// would do with a pencil, and the least that a plan has to come to.
func (p *problem) greedy() ([]int, int64) {
	return newRoom(p).fill(p.byPoints())
}
