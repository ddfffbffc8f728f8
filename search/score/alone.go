package score

import (
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// Unasked is Lot without the questions, for whoever scores very many.
func Unasked(list *pb.WantedList, want *pb.Want, lot *pb.Lot, road *place.Road) *pb.Fit {
	return fitOf(list, want, lot, road)
}

// Handles tells whether a kit moves and loads the heaviest piece of a lot without
// hired help. It is unknown where the weight is not known, or where it hangs on
// what the kit does not say.
func Handles(k *pb.Kit, lot *pb.Lot) trade.Answer {
	piece := trade.HeaviestPiece(lot)
	switch {
	case !piece.Known:
		return trade.Unknown
	case piece.HighKg <= kitOf(k, bare).handles():
		return trade.Yes
	case piece.LowKg > kitOf(k, generous).handles():
		return trade.No
	}
	return trade.Unknown
}
