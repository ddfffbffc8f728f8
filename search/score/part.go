package score

import (
	"math"

	pb "heirpress/proto/heirpress/v1"
)

// figures are what one factor, or a whole fit, comes to, in [0, 100].
type figures struct{ low, mid, high float64 }

// inOrder keeps figures in [0, 100], and low, mid and high in order, for the last
// bits of a product can fall either way.
func (f figures) inOrder() figures {
	mid := percent(f.mid)
	return figures{min(percent(f.low), mid), mid, max(percent(f.high), mid)}
}

// part is one factor's share of a fit.
type part struct {
	figures
	reasons []string
}

// message gives a part its place in the fit.
func (p part) message(f pb.Factor, weight float64) *pb.FitPart {
	in := p.inOrder()
	return &pb.FitPart{Factor: f, Score: in.mid, Low: in.low, High: in.high, Weight: weight, Reasons: p.reasons}
}

// percent keeps a figure in [0, 100]; what is no figure is 0.
func percent(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return min(max(v, 0), 100)
}
