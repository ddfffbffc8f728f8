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
	all := w[0] + w[1] + w[2]
	fit := &pb.Fit{Parts: []*pb.FitPart{
		distance(list, road).message(pb.Factor_FACTOR_DISTANCE, w[0]/all),
		rigging(list, lot).message(pb.Factor_FACTOR_RIGGING, w[1]/all),
		completeness(want, lot).message(pb.Factor_FACTOR_COMPLETENESS, w[2]/all),
	}}
	var score, low, high float64
	for i, p := range fit.Parts {
		// The conversions keep a processor that can from fusing the two steps: the
		// fit is the same to the last bit on every one.
		score += float64(w[i] * p.Score)
		low += float64(w[i] * p.Low)
		high += float64(w[i] * p.High)
	}
	fit.Score = percent(score / all)
	fit.Low, fit.High = min(percent(low/all), fit.Score), max(percent(high/all), fit.Score)
	return fit
}

// weightsOf are the three weights; their sum is more than 0. Absent counts as 1;
// three zeros, which the contract does not allow, as three ones.
func weightsOf(w *pb.FitWeights) [3]float64 {
	if w == nil {
		return [3]float64{1, 1, 1}
	}
	weights := [3]float64{weight(w.Distance), weight(w.Rigging), weight(w.Completeness)}
	if weights == [3]float64{} {
		return weightsOf(nil)
	}
	return weights
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
	return part{100 * s.Low, 100 * s.Mid, 100 * s.High, reasons}
}
