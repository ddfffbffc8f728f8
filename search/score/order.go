package score

import (
	"cmp"
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

// Ask is a question to the keeper of one lot, whose answer would change the
// order of the hits.
type Ask struct {
	// Lot is the lot it is about.
	Lot *pb.Lot
	// Question is what to ask.
	Question string
	// Places is how many places the lot would move by, on average over the answers
	// that were tried.
	Places float64
}

const (
	// mostAsks is how many questions settle an order.
	mostAsks = 3
	// mostWeighed is how many hits, from the top, are weighed: what stands further
	// down is seldom what anybody writes to a keeper for.
	mostWeighed = 50
)

// AskFirst is the two or three questions whose answers would move the ranking of
// a want's hits most. Every question about every hit is answered in each of the
// ways that trade.Unknowns gives, the lot is scored with the answer, and it is
// counted how many other hits it then passes or falls behind. The hits must be
// of this want, best first.
func AskFirst(list *pb.WantedList, want *pb.Want, hits []Ranked) []Ask {
	hits = hits[:min(len(hits), mostWeighed)]
	var asks []Ask
	for _, h := range hits {
		for _, c := range candidates(h.Fit, list, want, h.Lot, Road(list, h.Lot)) {
			if n := places(h, c.scores, hits); n > 0 {
				asks = append(asks, Ask{Lot: h.Lot, Question: c.question, Places: n})
			}
		}
	}
	slices.SortStableFunc(asks, func(a, b Ask) int { return cmp.Compare(b.Places, a.Places) })
	return asks[:min(len(asks), mostAsks)]
}

// places is how many other hits lie between a hit's score and what it would be,
// on average over the answers.
func places(of Ranked, scores []float64, hits []Ranked) float64 {
	var passed int
	for _, s := range scores {
		low, high := min(s, of.Fit.GetScore()), max(s, of.Fit.GetScore())
		for _, other := range hits {
			if o := other.Fit.GetScore(); other.Lot != of.Lot && low < o && o < high {
				passed++
			}
		}
	}
	return float64(passed) / float64(len(scores))
}
