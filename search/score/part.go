package score

import (
	"math"

	pb "heirpress/proto/heirpress/v1"
)

// part is one factor's share of a fit, in [0, 100].
type part struct {
	low, mid, high float64
	reasons        []string
}

// message gives a part its place in the fit. It puts low, score and high in
// order, for the last bits of a product can fall either way.
func (p part) message(f pb.Factor, weight float64) *pb.FitPart {
	mid := percent(p.mid)
	return &pb.FitPart{
		Factor: f, Score: mid, Low: min(percent(p.low), mid), High: max(percent(p.high), mid),
		Weight: weight, Reasons: p.reasons,
	}
}

// percent keeps a figure in [0, 100]; what is no figure is 0.
func percent(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return min(max(v, 0), 100)
}
