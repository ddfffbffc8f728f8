package chart

// chained joins pieces that share an end into lines as long as can be, so that
// dashes run along them.
func chained(pieces []line) (chains [][]xy) {
	c := chainer{at: map[xy][]int{}, pieces: pieces, used: make([]bool, len(pieces))}
	for i, p := range pieces {
		c.at[p.a], c.at[p.b] = append(c.at[p.a], i), append(c.at[p.b], i)
	}
	for i, p := range pieces {
		if !c.used[i] {
			c.used[i] = true
			chains = append(chains, append(backwards(c.from(p.a)), c.from(p.b)...))
		}
	}
	return chains
}

// chainer knows which pieces end where.
type chainer struct {
	at     map[xy][]int
	pieces []line
	used   []bool
}

// from follows unused pieces from an end as far as they lead.
func (c *chainer) from(end xy) []xy {
	points := []xy{end}
	for {
		i, ok := c.next(end)
		if !ok {
			return points
		}
		c.used[i] = true
		if p := c.pieces[i]; p.a == end {
			end = p.b
		} else {
			end = p.a
		}
		points = append(points, end)
	}
}

func (c *chainer) next(end xy) (int, bool) {
	for _, i := range c.at[end] {
		if !c.used[i] {
			return i, true
		}
	}
	return 0, false
}

func backwards(points []xy) []xy {
	turned := make([]xy, len(points))
	for i, p := range points {
		turned[len(points)-1-i] = p
	}
	return turned
}
