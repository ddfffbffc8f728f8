package score

import (
	"cmp"
	"slices"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

const (
	// mostQuestions is how many questions a fit asks.
	mostQuestions = 3
	// leastGain is how many points of a fit a question must be worth.
	leastGain = 0.5
)

// candidate is a question with what its answers would do to the fit.
type candidate struct {
	question string
	// gain is by how many points the interval would narrow, on average over the
	// answers; moves is how far the answers lie apart.
	gain, moves float64
	// scores are what the fit would be under each answer.
	scores []float64
}

// questions are the two or three whose answers would narrow the fit most. Every
// answer that trade.Unknowns gives as an example is tried, and the lot is scored
// with it.
func questions(fit *pb.Fit, list *pb.WantedList, want *pb.Want, lot *pb.Lot, road *place.Road) []string {
	all := candidates(fit, list, want, lot, road)
	slices.SortStableFunc(all, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(b.gain, a.gain), cmp.Compare(b.moves, a.moves))
	})
	var asked []string
	for _, c := range all {
		if c.gain >= leastGain && len(asked) < mostQuestions {
			asked = append(asked, c.question)
		}
	}
	return asked
}

// candidates are all the questions there are about a lot.
func candidates(fit *pb.Fit, list *pb.WantedList, want *pb.Want, lot *pb.Lot, road *place.Road) []candidate {
	all := townQuestion(fit, list, lot, road)
	for _, u := range trade.Unknowns(lot, want.GetMustHave(), want.GetTextToSet()) {
		var fits []*pb.Fit
		for _, answered := range u.Answers() {
			fits = append(fits, fitOf(list, want, answered, road))
		}
		all = append(all, weigh(u.Question, fit, fits))
	}
	return all
}

// weigh compares the fit with what it would be under each answer.
func weigh(question string, fit *pb.Fit, answered []*pb.Fit) candidate {
	var width float64
	var scores []float64
	for _, f := range answered {
		width += f.GetHigh() - f.GetLow()
		scores = append(scores, f.GetScore())
	}
	gain := fit.GetHigh() - fit.GetLow() - width/float64(len(answered))
	return candidate{question, gain, slices.Max(scores) - slices.Min(scores), scores}
}

// townQuestion asks where a lot without a town is: the whole part of distance
// hangs on it.
func townQuestion(fit *pb.Fit, list *pb.WantedList, lot *pb.Lot, road *place.Road) []candidate {
	if road != nil || lot.GetTown() != nil {
		return nil
	}
	distance := fit.GetParts()[0]
	w := 100 * distance.GetWeight()
	nowhere := fit.GetScore() - distance.GetScore()*distance.GetWeight()
	return []candidate{{"Which town is it in?", w, w, []float64{nowhere, nowhere + w}}}
}
