package roads

type entry struct {
	way  Way
	node int32
}

// queue is a heap with four children to a parent, the least way on top: it is
// flatter than one of two, and what a parent needs lies together.
type queue []entry

func (q *queue) push(e entry) {
	*q = append(*q, e)
	h := *q
	i := len(h) - 1
	for i > 0 {
		up := (i - 1) / 4
		if h[up].way <= e.way {
			break
		}
		h[i] = h[up]
		i = up
	}
	h[i] = e
}

func (q *queue) pop() entry {
	h := *q
	top, last := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	*q = h
	if len(h) > 0 {
		h.sink(last)
	}
	return top
}

// sink lets e down from the top to its place.
func (q queue) sink(e entry) {
	i := 0
	for {
		first := 4*i + 1
		if first >= len(q) {
			break
		}
		least := first
		for c := first + 1; c < min(first+4, len(q)); c++ {
			if q[c].way < q[least].way {
				least = c
			}
		}
		if q[least].way >= e.way {
			break
		}
		q[i] = q[least]
		i = least
	}
	q[i] = e
}
