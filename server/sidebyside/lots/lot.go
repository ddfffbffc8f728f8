package lots

import (
	"math"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// kinds are what shops are full of, in per cent.
var kinds = []weighted[func(*dice, *pb.Lot)]{
	{46, metalType}, {14, cuts}, {9, woodType}, {8, press}, {7, cabinet}, {4, ornaments}, {3, spacing},
	{3, tools}, {2, cutter}, {1.5, bindery}, {1, stone}, {0.5, caster}, {1, other},
}

// lot makes a lot of any kind, without its tag.
func (d *dice) lot(town place.Town) *pb.Lot {
	lot := &pb.Lot{State: pb.LotState_LOT_STATE_OFFERED, Description: d.sentences(d.IntN(4))}
	draw(d, kinds)(d, lot)
	if d.chance(55) {
		lot.Condition = pb.Condition(1 + skewed(d, 4))
	}
	if d.chance(60) {
		lot.Price = d.price(lot, town)
	}
	if d.chance(2) {
		lot.State = pb.LotState_LOT_STATE_DRAFT
	}
	return lot
}

// price is in the money of the country, and the more for a press.
func (d *dice) price(lot *pb.Lot, town place.Town) *pb.Money {
	currency := map[string]string{"US": "USD", "CA": "CAD", "MX": "USD", "GB": "GBP"}[town.Country]
	if currency == "" {
		currency = "EUR"
	}
	middle := 4.0 // e^4 is 55
	if lot.GetKind() == pb.Kind_KIND_PRESS {
		middle = 6.6
	}
	amount := math.Exp(middle + 0.8*d.NormFloat64())
	return &pb.Money{CurrencyCode: currency, Units: int64(amount/5) * 5}
}

// later is what has become of a posted lot.
func (d *dice) later(lot *pb.Lot) pb.LotState {
	x := 100 * d.Float64()
	switch {
	case lot.GetState() != pb.LotState_LOT_STATE_OFFERED || x > 3:
		return pb.LotState_LOT_STATE_UNSPECIFIED
	case x < 2:
		return pb.LotState_LOT_STATE_PROMISED
	case x < 2.6:
		return pb.LotState_LOT_STATE_REHOMED
	}
	return pb.LotState_LOT_STATE_WITHDRAWN
}

// weigh says what a lot weighs, so often in a hundred: about so many
// kilograms.
func (d *dice) weigh(lot *pb.Lot, percent, about float64) {
	if !d.chance(percent) {
		return
	}
	kg := math.Round(2*about*math.Exp(0.4*d.NormFloat64())) / 2
	kg = max(0.5, min(kg, 20_000))
	lot.Weight = &pb.Weight{MassKg: &kg, Grounds: pb.Grounds_GROUNDS_STATED}
	if d.chance(15) {
		low, high := 0.8*kg, 1.2*kg
		lot.Weight = &pb.Weight{LowKg: &low, HighKg: &high, Grounds: pb.Grounds_GROUNDS_ESTIMATED, Basis: "guessed by the keeper"}
	}
}
