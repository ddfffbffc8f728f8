package score

import (
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// crew is how many people carry a piece together at most: more get in each
// other's way on a stair. Common practice.
const crew = 4

// WeightClassOf is what it takes to move a lot, by its heaviest piece as heavy
// as it may be; unspecified where its weight is not known.
func WeightClassOf(lot *pb.Lot) pb.WeightClass {
	piece := trade.HeaviestPiece(lot)
	if !piece.Known {
		piece = trade.WeightOf(lot)
	}
	switch kg := piece.HighKg; {
	case !piece.Known:
		return pb.WeightClass_WEIGHT_CLASS_UNSPECIFIED
	case kg <= carryKg:
		return pb.WeightClass_WEIGHT_CLASS_LIGHT
	case kg <= crew*carryKg:
		return pb.WeightClass_WEIGHT_CLASS_CREW
	case kg <= riggerStepsKg:
		return pb.WeightClass_WEIGHT_CLASS_WHEELS
	case kg <= riggerKg:
		return pb.WeightClass_WEIGHT_CLASS_MACHINERY
	}
	return pb.WeightClass_WEIGHT_CLASS_RIGGERS
}
