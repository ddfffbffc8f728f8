package trade

import (
	pb "heirpress/proto/heirpress/v1"
)

// HeaviestPiece is what the heaviest single piece weighs once the lot has been
// stripped, emptied or boxed: the frame of a press, a full case of type, a slab.
// A stated piece wins; otherwise the share that the class's piece has in the
// whole is taken of the lot's weight. It is never more than the whole.
func HeaviestPiece(lot *pb.Lot) Estimate { return HeaviestPieceOf(lot, WeightOf(lot)) }

// HeaviestPieceOf is HeaviestPiece for who has the lot's WeightOf already.
func HeaviestPieceOf(lot *pb.Lot, whole Estimate) Estimate {
	if kg := statedPieceKg(lot); positive(kg) {
		return Estimate{LowKg: kg, HighKg: kg, Grounds: pb.Grounds_GROUNDS_STATED, Basis: "heaviest piece as stated", Known: true}
	}
	if p, ok := weightPlanOf(lot); ok && whole.Known {
		return p.pieceOf(whole, count(lot))
	}
	return loosePiece(lot, whole)
}

func statedPieceKg(lot *pb.Lot) float64 {
	if p := lot.GetPress(); p != nil {
		return p.GetHeaviestPieceKg()
	}
	return lot.GetGeneral().GetHeaviestPieceKg()
}

// pieceOf is the heaviest piece of a lot of n machines of this plan. Within the
// range of weights of one size the piece stays within that size's range of pieces.
func (p Plan) pieceOf(whole Estimate, n float64) Estimate {
	low, high := whole.LowKg/n, whole.HighKg/n
	e := Estimate{LowKg: low * p.leastShare, HighKg: high * p.mostShare, Grounds: pb.Grounds_GROUNDS_ESTIMATED, Known: true}
	if low >= p.LowKg && !p.spans {
		e.LowKg = max(e.LowKg, min(p.PieceLowKg, low))
	}
	if high <= p.HighKg && !p.spans {
		e.HighKg = min(e.HighKg, p.PieceHighKg)
	}
	e.HighKg = min(max(e.HighKg, e.LowKg), high)
	e.Basis = p.Piece + " of a " + ClassWord(p.Class)
	if p.Piece == "whole" {
		e.Grounds, e.Basis = whole.Grounds, "moved whole"
	}
	return e
}

// boxLb is how much goes into one box of small things: NIOSH's 51 lb for one
// person under ideal conditions.
const boxLb = 51.0

// loosePiece is the heaviest piece of what has no plan.
func loosePiece(lot *pb.Lot, whole Estimate) Estimate {
	switch {
	case lot.GetKind() == pb.Kind_KIND_STONES:
		return slabPiece(lot, whole)
	case lot.GetKind() == pb.Kind_KIND_METAL_TYPE:
		return upTo(whole, caseTypeLow+emptyCaseLow, fullestCase+emptyCaseHigh, "one full case")
	case lot.GetKind() == pb.Kind_KIND_WOOD_TYPE:
		return upTo(whole, displayCaseLow, displayCaseHigh+emptyCaseHigh, "one drawer")
	case lot.GetClass() == pb.Class_CLASS_TYPE_CASE:
		return upTo(whole, emptyCaseLow, fullestCase+emptyCaseHigh, "one case")
	case lot.GetClass() == pb.Class_CLASS_TYPE_CABINET:
		return upTo(whole, frameLowLb, frameHighLb, "the frame, emptied of its cases")
	case boxed(lot.GetKind()):
		return upTo(whole, boxLb/2, boxLb, "one box")
	case !whole.Known:
		return Estimate{}
	case classless(lot):
		return somePiece(lot, whole)
	}
	n := count(lot)
	return Estimate{LowKg: whole.LowKg / n, HighKg: whole.HighKg / n, Grounds: whole.Grounds, Basis: "moved whole", Known: true}
}

// classless tells whether a lot's kind has classes and nobody has said which.
func classless(lot *pb.Lot) bool {
	return lot.GetClass() == pb.Class_CLASS_UNSPECIFIED && len(ClassesOf(lot.GetKind())) > 0
}

// somePiece spans the pieces that a lot has in any of the classes it may be of.
func somePiece(lot *pb.Lot, whole Estimate) Estimate {
	n := count(lot)
	e := Estimate{
		LowKg: whole.LowKg / n * riggerLow, HighKg: whole.HighKg / n,
		Grounds: pb.Grounds_GROUNDS_ESTIMATED, Basis: "its class is not known", Known: true,
	}
	if lot.GetKind() == pb.Kind_KIND_CABINETS {
		e.LowKg, e.HighKg = min(emptyCaseLow*KgPerPound, whole.LowKg/n), whole.HighKg
	}
	return e
}

// boxed tells whether a kind is small things that are boxed for the move.
func boxed(k pb.Kind) bool {
	return k == pb.Kind_KIND_CUTS || k == pb.Kind_KIND_ORNAMENTS || k == pb.Kind_KIND_SPACING
}

// upTo is a piece of so many pounds, or the whole lot if that is less.
func upTo(whole Estimate, lowLb, highLb float64, basis string) Estimate {
	e := guessed(lowLb, highLb, "%s", basis)
	if whole.Known {
		e.LowKg, e.HighKg = min(e.LowKg, whole.LowKg), min(e.HighKg, whole.HighKg)
	}
	return e
}

func slabPiece(lot *pb.Lot, whole Estimate) Estimate {
	low, high, ok := slabLb(lot)
	switch {
	case ok:
		return upTo(whole, low, high, "the slab")
	case !whole.Known:
		return Estimate{}
	}
	n := count(lot)
	return Estimate{LowKg: whole.LowKg / n / 2, HighKg: whole.HighKg / n, Grounds: pb.Grounds_GROUNDS_ESTIMATED, Basis: "the slab", Known: true}
}

// MovesWhole tells whether a lot goes through a door as one thing: a press, a
// cutter, a cabinet. What is boxed, and loose cases, do not; of furniture whose
// class nobody has said it is unknown.
func MovesWhole(lot *pb.Lot) Answer {
	switch lot.GetKind() {
	case pb.Kind_KIND_PRESS, pb.Kind_KIND_STONES, pb.Kind_KIND_CUTTERS, pb.Kind_KIND_CASTERS:
		return Yes
	case pb.Kind_KIND_CABINETS:
		return furnitureMovesWhole(lot.GetClass())
	}
	return No
}

func furnitureMovesWhole(c pb.Class) Answer {
	switch c {
	case pb.Class_CLASS_UNSPECIFIED:
		return Unknown
	case pb.Class_CLASS_TYPE_CASE:
		return No
	}
	return Yes
}
