package score

import (
	"fmt"
	"math"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// Lot tells how well a lot fits a want of a list. road is the way from the
// list's town to the lot's; nil if it is not known. Any of the messages may be
// nil: what they would say is then unknown.
func Lot(list *pb.WantedList, want *pb.Want, lot *pb.Lot, road *place.Road) *pb.Fit {
	fit := fitOf(list, want, lot, road)
	fit.Questions = questions(fit, list, want, lot, road)
	return fit
}

// fitOf is the fit without its questions.
func fitOf(list *pb.WantedList, want *pb.Want, lot *pb.Lot, road *place.Road) *pb.Fit {
	w := weightsOf(list.GetWeights())
	parts := [3]part{distance(list, road), rigging(list, lot), completeness(want, lot)}
	whole := w.whole([3]figures{parts[0].figures, parts[1].figures, parts[2].figures})
	fit := &pb.Fit{Score: whole.mid, Low: whole.low, High: whole.high}
	for i, p := range parts {
		fit.Parts = append(fit.Parts, p.message(pb.Factor(i+1), w[i]/w.sum()))
	}
	return fit
}

// weights are those of the three factors, in their order. Their sum is more than 0.
type weights [3]float64

func (w weights) sum() float64 { return w[0] + w[1] + w[2] }

// whole is what the factors come to together.
func (w weights) whole(parts [3]figures) figures {
	var sum figures
	for i, p := range parts {
		// The conversions keep a processor that can from fusing the two steps: the
		// fit is the same to the last bit on every one.
		in := p.inOrder()
		sum.low += float64(w[i] * in.low)
		sum.mid += float64(w[i] * in.mid)
		sum.high += float64(w[i] * in.high)
	}
	all := w.sum()
	return figures{sum.low / all, sum.mid / all, sum.high / all}.inOrder()
}

// weightsOf are a seeker's weights. Absent counts as 1; three zeros, which the
// contract does not allow, as three ones.
func weightsOf(w *pb.FitWeights) weights {
	if w == nil {
		return weights{1, 1, 1}
	}
	all := weights{weight(w.Distance), weight(w.Rigging), weight(w.Completeness)}
	if all == (weights{}) {
		return weightsOf(nil)
	}
	return all
}

func weight(v *float64) float64 {
	if v == nil || math.IsNaN(*v) {
		return 1
	}
	return min(max(*v, 0), 100)
}

func completeness(want *pb.Want, lot *pb.Lot) part {
	s := trade.HowComplete(lot, want.GetMustHave(), want.GetTextToSet())
	reasons := append([]string{fmt.Sprintf("%.0f percent of it, from %.0f to %.0f", 100*s.Mid, 100*s.Low, 100*s.High)}, s.Reasons...)
	if s.Low == s.High {
		reasons[0] = fmt.Sprintf("%.0f percent of it is there", 100*s.Mid)
	}
	return part{sharesOf(s), reasons}
}

func sharesOf(s trade.Share) figures { return figures{100 * s.Low, 100 * s.Mid, 100 * s.High} }
