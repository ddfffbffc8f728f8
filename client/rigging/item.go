package rigging

import (
	"cmp"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

func itemOf(lot *pb.Lot) Item {
	whole, piece := trade.WeightOf(lot), trade.HeaviestPiece(lot)
	return Item{
		Tag: lot.GetTag(), Title: lot.GetTitle(),
		Kind: trade.KindWord(lot.GetKind()), Class: trade.ClassWord(lot.GetClass()),
		Count: int(max(lot.GetCount(), 1)), Weight: massOf(whole), Piece: massOf(piece), Doubt: whole.Doubt,
		Outside: outsideOf(lot), StandsAlone: standsAlone(lot, whole, piece),
	}
}

func massOf(e trade.Estimate) Mass {
	if !e.Known {
		return Mass{}
	}
	return Mass{true, e.LowKg, e.HighKg, groundsWords[e.Grounds], e.Basis}
}

var groundsWords = map[pb.Grounds]string{
	pb.Grounds_GROUNDS_MEASURED:  "measured",
	pb.Grounds_GROUNDS_STATED:    "stated",
	pb.Grounds_GROUNDS_ESTIMATED: "estimated",
}

// What stands alone on the deck: a machine or a piece of furniture, unless it is
// known to weigh no more than a box; and anything whose heaviest piece is too
// much for a pallet of boxes. Design choices.
const (
	boxedKg = 25
	aloneKg = 60
)

func standsAlone(lot *pb.Lot, whole, piece trade.Estimate) bool {
	if whole.Known && whole.HighKg <= boxedKg {
		return false
	}
	return trade.MovesWhole(lot) != trade.No || piece.Known && piece.LowKg > aloneKg
}

// outsideOf is the outside of one of a lot: as the keeper gave it, the slab of a
// stone, or what is planned with for its class at its largest.
func outsideOf(lot *pb.Lot) *Outside {
	s := lot.GetSize()
	slab := lot.GetGeneral().GetWorkingSize()
	p, planned := trade.PlanOf(lot)
	switch {
	case sensible(s.GetWidthMm()) && sensible(s.GetDepthMm()):
		o := &Outside{WidthMm: s.GetWidthMm(), DepthMm: s.GetDepthMm(), Stated: true}
		if sensible(s.GetHeightMm()) {
			o.HeightMm = s.GetHeightMm()
		}
		return o
	case lot.GetKind() == pb.Kind_KIND_STONES && sensible(slab.GetWidthMm()) && sensible(slab.GetHeightMm()):
		return &Outside{WidthMm: slab.GetWidthMm(), DepthMm: slab.GetHeightMm(), Stated: true}
	case planned && p.Largest.GetWidthMm() > 0:
		return &Outside{WidthMm: p.Largest.GetWidthMm(), DepthMm: p.Largest.GetDepthMm(), HeightMm: p.Largest.GetHeightMm()}
	case lot.GetClass() == pb.Class_CLASS_TYPE_CABINET:
		return &Outside{WidthMm: cabinetWidthMm, DepthMm: cabinetDepthMm}
	}
	return nil
}

// sensible tells whether a side is one: more than 0 and at most 100 m.
func sensible(mm float64) bool { return mm > 0 && mm <= 1e5 }

// A type cabinet stands on 37.5 by 24 in. Common practice.
const (
	cabinetWidthMm = 37.5 * trade.MmPerInch
	cabinetDepthMm = 24 * trade.MmPerInch
)

// unit is one thing that stands on the floor and the deck by itself.
type unit struct {
	// lot is which lot of the load it is of.
	lot   int
	tag   string
	class pb.Class
	// massKg is planned with: the upper end. 0 if it is not known.
	massKg float64
	// rollKg is what is rolled and slung: the whole, but of a type cabinet the
	// frame, for it is always moved empty.
	rollKg float64
	// pieceKg is the heaviest piece, at its upper end; 0 if it is not known.
	pieceKg float64
	outside *Outside
}

// unitsOf are the things of a lot, as many as it counts.
func unitsOf(at int, lot *pb.Lot, i Item) []unit {
	n := float64(i.Count)
	u := unit{
		lot: at, tag: i.Tag, class: lot.GetClass(), outside: i.Outside,
		massKg: i.Weight.HighKg / n, pieceKg: i.Piece.HighKg,
	}
	u.rollKg = u.massKg
	if u.class == pb.Class_CLASS_TYPE_CABINET {
		u.rollKg = u.pieceKg
	}
	units := make([]unit, i.Count)
	for k := range units {
		units[k] = u
	}
	return units
}

// heaviestFirst orders units by weight.
func heaviestFirst(a, b unit) int { return cmp.Compare(b.massKg, a.massKg) }
