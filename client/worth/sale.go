package worth

import (
	pb "heirpress/proto/heirpress/v1"
)

// Sale is something that was sold: what, when, where and for how much.
type Sale struct {
	// Lot is what was sold, with its town and price_paid.
	Lot *pb.Lot
	// Date is the day of the sale; nil if it is not known.
	Date *pb.Date
	// Complete is how much of it was there, 0 to 1, where somebody has said; nil:
	// it is judged by what is said to be missing.
	Complete *float64
	// Event is the sale or shop that it belonged to; empty if it is not known.
	// Things sold together share their luck.
	Event string
	// Source says where it is recorded: "sales.csv, row 7". It names nobody.
	Source string
}

// Rehomed makes a sale of a lot that has gone to its new home for a price that the
// parties cared to say. It returns false for any other lot.
func Rehomed(l *pb.Lot, shop string) (Sale, bool) {
	m := l.GetPricePaid()
	if l.GetState() != pb.LotState_LOT_STATE_REHOMED || m == nil || m.GetUnits() == 0 && m.GetNanos() == 0 {
		return Sale{}, false
	}
	s := Sale{Lot: l, Event: shop, Source: "a rehoming recorded here"}
	for _, step := range l.GetHistory() {
		if step.GetState() == pb.LotState_LOT_STATE_REHOMED && step.GetTime() != nil {
			y, m, d := step.GetTime().AsTime().Date()
			s.Date = &pb.Date{Year: int32(y), Month: int32(m), Day: int32(d)}
		}
	}
	return s, true
}
