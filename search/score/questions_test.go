package score

import (
	"slices"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
)

// TestQuestionsFollowTheWant: the same lot is asked about what matters to the
// seeker: the weight by who looks at rigging alone, what is missing by who looks
// at completeness alone, and nothing by who looks at distance alone.
func TestQuestionsFollowTheWant(t *testing.T) {
	lot := jobber(1)
	lot.Weight, lot.Parts, lot.Condition = nil, nil, pb.Condition_CONDITION_UNSPECIFIED
	only := func(d, r, c float64) []string {
		l := list(strong())
		l.Weights = &pb.FitWeights{Distance: &d, Rigging: &r, Completeness: &c}
		return Lot(l, &pb.Want{MustHave: []string{"rollers"}}, lot, exactly(100)).GetQuestions()
	}
	if got := only(1, 0, 0); len(got) != 0 {
		t.Errorf("distance is known, and it asks %q", got)
	}
	if got := only(0, 1, 0); len(got) != 1 || !strings.HasPrefix(got[0], "What does it weigh?") {
		t.Errorf("for rigging it asks %q", got)
	}
	got := only(0, 0, 1)
	if len(got) != 3 || !strings.HasPrefix(got[0], "Are these there: frame, platen, flywheel, ink disk?") || !slices.Contains(got, "Does it have rollers?") {
		t.Errorf("for completeness it asks %q", got)
	}
}

func TestQuestionsOfType(t *testing.T) {
	lot := &pb.Lot{Kind: pb.Kind_KIND_WOOD_TYPE, Town: &pb.Town{}, Condition: pb.Condition_CONDITION_WORKING, Detail: &pb.Lot_WoodType{WoodType: &pb.WoodTypeDetail{Size: &pb.TypeSize{Lines: proto.Float64(12)}}}}
	got := Lot(list(strong()), &pb.Want{TextToSet: "TREE"}, lot, nil).GetQuestions()
	if len(got) == 0 || got[0] != "How many are there of each of these: E, R, T?" {
		t.Errorf("it asks %q", got)
	}
}

// TestTownIsAsked: the town is asked for only where the lot has none.
func TestTownIsAsked(t *testing.T) {
	lot := jobber(1500)
	lot.GetPress().HeaviestPieceKg = proto.Float64(400)
	if got := Lot(list(strong()), nil, lot, nil).GetQuestions(); len(got) != 0 {
		t.Errorf("the keeper is asked for a town that is known: %q", got)
	}
	lot.Town = nil
	if got := Lot(list(strong()), nil, lot, nil).GetQuestions(); len(got) != 1 || got[0] != "Which town is it in?" {
		t.Errorf("it asks %q", got)
	}
}
