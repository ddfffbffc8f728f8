package score

import pb "heirpress/proto/heirpress/v1"

// Cover is how far an offer, such as all the lots of a shop, meets a whole
// wanted list.
type Cover struct {
	// Score, Low and High are 0 to 100: the best fit that each want has in the
	// offer, weighed by the wants' importance. A want with no hit counts 0.
	Score, Low, High float64
	// Best are the best hits, one for each want that has one, in the list's order.
	Best []Ranked
	// Unmet are the wants that nothing in the offer meets, in the list's order.
	Unmet []*pb.Want
}

// Covers tells how far the hits of one offer meet a list. Every hit must be of a
// want of this list; wants are told apart by their ids.
func Covers(list *pb.WantedList, hits []Ranked) Cover {
	var c Cover
	var weights float64
	for _, w := range list.GetWants() {
		weight := float64(importance(w))
		weights += weight
		best, low, high, ok := bestOf(w, hits)
		if !ok {
			c.Unmet = append(c.Unmet, w)
			continue
		}
		c.Best = append(c.Best, best)
		c.Score += float64(weight * best.Fit.GetScore())
		c.Low += float64(weight * low)
		c.High += float64(weight * high)
	}
	if weights > 0 {
		c.Score, c.Low, c.High = c.Score/weights, c.Low/weights, c.High/weights
	}
	return c
}

// bestOf is the best hit of a want, and the low and the high of whichever hit
// turns out best.
func bestOf(w *pb.Want, hits []Ranked) (best Ranked, low, high float64, ok bool) {
	for _, h := range hits {
		if h.Want.GetId() != w.GetId() {
			continue
		}
		if !ok || compare(h, best) < 0 {
			best = h
		}
		ok, low, high = true, max(low, h.Fit.GetLow()), max(high, h.Fit.GetHigh())
	}
	return best, low, high, ok
}
