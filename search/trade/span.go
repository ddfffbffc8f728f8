package trade

// span is a share in [0, 1] that may be known only from low to high.
type span struct{ low, mid, high float64 }

func surely(v float64) span { return span{v, v, v} }

// anything is what is not known at all.
var anything = span{0, 0.5, 1}

// between is a span with its middle halfway.
func between(low, high float64) span { return span{low, low + (high-low)/2, high} }

// times is the product of two spans.
func (s span) times(o span) span {
	return span{float64(s.low * o.low), float64(s.mid * o.mid), float64(s.high * o.high)}
}

// scaled is v times the span. The conversions keep a processor that can from
// fusing it with an addition that follows: it is the same on every one.
func (s span) scaled(v float64) span {
	return span{float64(s.low * v), float64(s.mid * v), float64(s.high * v)}
}

func (s span) plus(o span) span { return span{s.low + o.low, s.mid + o.mid, s.high + o.high} }

// atLeast lifts a span into [least, 1] in proportion.
func (s span) atLeast(least float64) span { return s.scaled(1 - least).plus(surely(least)) }

// mean is a weighted mean of spans, added up in the order given, so that it
// comes out the same everywhere.
type mean struct {
	sum    span
	weight float64
}

func (m *mean) add(s span, weight float64) {
	m.sum = m.sum.plus(s.scaled(weight))
	m.weight += weight
}

func (m *mean) value() span {
	if m.weight == 0 {
		return surely(1)
	}
	clip := func(v float64) float64 { return min(max(v/m.weight, 0), 1) }
	return span{clip(m.sum.low), clip(m.sum.mid), clip(m.sum.high)}
}
