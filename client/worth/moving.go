package worth

import (
	"fmt"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// Moving is what the user says of a buyer's move. Amounts are in the report's
// currency.
type Moving struct {
	// To is the buyer's town; nil if it is not known.
	To *pb.Town
	// PerMile is what a mile of driving costs, and Riggers what riggers ask for one
	// lot; nil if it is not known.
	PerMile, Riggers *pb.Money
}

// Move is what a buyer has to pay to move a lot, beside its price, in units of the
// currency.
type Move struct {
	// Low and High are nil where something has to be asked first.
	Low  *float64 `json:"low,omitempty"`
	High *float64 `json:"high,omitempty"`
	// Words say what it is made of, and Ask what to ask.
	Words []string `json:"words,omitempty"`
	Ask   []string `json:"ask,omitempty"`
}

// riggerKg is the piece from which professional riggers are called: 2,500 lb.
// Common practice.
const riggerKg = 2500 * trade.KgPerPound

// needsRiggers tells whether a lot is work for riggers by its class or weight.
func needsRiggers(l *pb.Lot) trade.Answer {
	if p, ok := trade.PlanOf(l); ok && p.Rigger {
		return trade.Yes
	}
	piece := trade.HeaviestPiece(l)
	switch {
	case piece.Known && piece.HighKg <= riggerKg:
		return trade.No
	case piece.Known && piece.LowKg > riggerKg:
		return trade.Yes
	}
	return trade.Unknown
}

// move is the cost of one drive there and back, and of riggers where it takes
// them.
func (in *Input) move(l *pb.Lot) *Move {
	m := &Move{}
	low, high, drive := in.driving(l, m)
	rigging, hired := in.hiring(l, m)
	if drive && hired {
		low, high = low+rigging, high+rigging
		m.Low, m.High = &low, &high
	}
	return m
}

func (in *Input) driving(l *pb.Lot, m *Move) (low, high float64, ok bool) {
	if in.Moving.To == nil {
		m.Ask = append(m.Ask, "where will it go? (--buyer)")
	}
	if in.Moving.PerMile == nil {
		m.Ask = append(m.Ask, "what does a mile cost with the vehicle it takes? (--per-mile)")
	}
	if in.Moving.To == nil || in.Moving.PerMile == nil || l.GetTown() == nil {
		return 0, 0, false
	}
	from, to := l.GetTown().GetPoint(), in.Moving.To.GetPoint()
	road := place.RoadKm(place.Point{Lat: from.GetLatitude(), Lng: from.GetLongitude()}, place.Point{Lat: to.GetLatitude(), Lng: to.GetLongitude()})
	if road.None {
		m.Ask = append(m.Ask, "there is no road there: what does a carrier ask?")
		return 0, 0, false
	}
	per := float(in.Moving.PerMile)
	_, lowMiles, highMiles := road.Miles()
	low, high = 2*per**lowMiles, 2*per**highMiles
	m.Words = append(m.Words, fmt.Sprintf("one drive there and back, %.0f to %.0f miles, at %s a mile", 2**lowMiles, 2**highMiles, trade.FormatMoney(in.Moving.PerMile)))
	return low, high, true
}

func (in *Input) hiring(l *pb.Lot, m *Move) (cost float64, ok bool) {
	switch riggers := in.Moving.Riggers; needsRiggers(l) {
	case trade.No:
		return 0, true
	case trade.Unknown:
		m.Ask = append(m.Ask, "how heavy is its heaviest piece? From 2,500 lb on it is work for riggers")
		return 0, false
	default:
		if riggers == nil {
			m.Ask = append(m.Ask, "what do riggers ask to load and unload it? (--riggers)")
			return 0, false
		}
		m.Words = append(m.Words, "riggers, "+trade.FormatMoney(riggers))
		return float(riggers), true
	}
}
