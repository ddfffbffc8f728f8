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
	fit := &pb.Fit{Parts: []*pb.FitPart{
		distance(list, road).message(pb.Factor_FACTOR_DISTANCE, w[0]),
		rigging(list, lot).message(pb.Factor_FACTOR_RIGGING, w[1]),
		completeness(want, lot).message(pb.Factor_FACTOR_COMPLETENESS, w[2]),
	}}
	for _, p := range fit.Parts {
		// The conversions keep a processor that can from fusing the two steps: the
		// fit is the same to the last bit on every one.
		fit.Score += float64(p.Weight * p.Score)
		fit.Low += float64(p.Weight * p.Low)
		fit.High += float64(p.Weight * p.High)
	}
	fit.Score = percent(fit.Score)
	fit.Low, fit.High = min(percent(fit.Low), fit.Score), max(percent(fit.High), fit.Score)
	return fit
}

// weightsOf are the three weights as shares that add up to 1. Absent counts as
// 1; three zeros, which the contract does not allow, as three ones.
func weightsOf(w *pb.FitWeights) [3]float64 {
	shares := [3]float64{1, 1, 1}
	if w != nil {
		shares = [3]float64{weight(w.Distance), weight(w.Rigging), weight(w.Completeness)}
	}
	sum := shares[0] + shares[1] + shares[2]
	if sum == 0 {
		return weightsOf(nil)
	}
	for i := range shares {
		shares[i] /= sum
	}
	return shares
}

func weight(v *float64) float64 {
	if v == nil || math.IsNaN(*v) {
		return 1
	}
	return min(max(*v, 0), 100)
}

func completeness(want *pb.Want, lot *pb.Lot) part {
	s := trade.Completeness(lot, want.GetMustHave(), want.GetTextToSet())
	reasons := append([]string{fmt.Sprintf("%.0f %% of it, from %.0f to %.0f", 100*s.Mid, 100*s.Low, 100*s.High)}, s.Reasons...)
	if s.Low == s.High {
		reasons[0] = fmt.Sprintf("%.0f %% of it is there", 100*s.Mid)
	}
	return part{100 * s.Low, 100 * s.Mid, 100 * s.High, reasons}
}
