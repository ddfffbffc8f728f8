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
	c := scoredOf(fit, list, want)
	for _, u := range trade.Unknowns(lot, want.GetMustHave(), want.GetTextToSet()) {
		var answers []figures
		for _, answered := range u.Answers() {
			answers = append(answers, c.answered(u, answered))
		}
		all = append(all, weigh(u.Question, fit, answers))
	}
	return all
}

// scored is a lot that has its fit, to be scored again with a fact more: only
// what the fact can change is reckoned again, and nothing is put in words.
type scored struct {
	list    *pb.WantedList
	want    *pb.Want
	weights weights
	parts   [3]figures // in the order of the factors
}

func scoredOf(fit *pb.Fit, list *pb.WantedList, want *pb.Want) scored {
	s := scored{list: list, want: want, weights: weightsOf(list.GetWeights())}
	for i, p := range fit.GetParts() {
		s.parts[i] = figures{p.GetLow(), p.GetScore(), p.GetHigh()}
	}
	return s
}

// answered is what the fit comes to with an answer to a fact filled in.
func (s scored) answered(u trade.UnknownFact, lot *pb.Lot) figures {
	parts := s.parts
	if u.Rigging {
		parts[1] = loadsOf(lot).figures(s.list.GetKit())
	}
	if u.Completeness {
		parts[2] = sharesOf(trade.Shares(lot, s.want.GetMustHave(), s.want.GetTextToSet()))
	}
	return s.weights.whole(parts)
}

// weigh compares the fit with what it would be under each answer.
func weigh(question string, fit *pb.Fit, answered []figures) candidate {
	var width float64
	var scores []float64
	for _, f := range answered {
		width += f.high - f.low
		scores = append(scores, f.mid)
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
