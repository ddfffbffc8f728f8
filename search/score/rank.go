package score

import (
	"cmp"
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

// Ranked is what a hit of a wanted list is put in order by.
type Ranked struct {
	// Want is the want that the lot was scored for.
	Want *pb.Want
	// Lot is the lot.
	Lot *pb.Lot
	// Fit is how well it fits.
	Fit *pb.Fit
}

// usualImportance is what an importance of 0 means.
const usualImportance = 3

func importance(w *pb.Want) int32 {
	if w.GetImportance() == 0 {
		return usualImportance
	}
	return w.GetImportance()
}

// Sort puts the hits of a whole list in order: the most important want first,
// then the best score, then by the lot's name, its tag and the want's id, so that
// the order is always the same. of says what a hit is ranked by.
func Sort[T any](hits []T, of func(T) Ranked) {
	slices.SortStableFunc(hits, func(a, b T) int { return compare(of(a), of(b)) })
}

func compare(a, b Ranked) int {
	return cmp.Or(
		cmp.Compare(importance(b.Want), importance(a.Want)),
		cmp.Compare(b.Fit.GetScore(), a.Fit.GetScore()),
		cmp.Compare(a.Lot.GetName(), b.Lot.GetName()),
		cmp.Compare(a.Lot.GetTag(), b.Lot.GetTag()),
		cmp.Compare(a.Want.GetId(), b.Want.GetId()),
	)
}
