package rigging

import (
	"slices"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// ByHand is what one person lifts.
type ByHand struct {
	// Limits are the lifts that a move is made of, with their limits.
	Limits []HandLimit `json:"limits"`
	// Pieces are what would be lifted, held against them.
	Pieces []HandPiece `json:"pieces,omitempty"`
}

// HandLimit is a lift and its recommended weight limit.
type HandLimit struct {
	// Lift says what is done.
	Lift string `json:"lift"`
	// HorizontalMm, VerticalMm and TravelMm are the lift's measures.
	HorizontalMm float64 `json:"horizontalMm"`
	VerticalMm   float64 `json:"verticalMm"`
	TravelMm     float64 `json:"travelMm"`
	// LimitKg is the recommended weight limit for one person.
	LimitKg float64 `json:"limitKg"`
}

// HandPiece is what would be lifted, and how it stands to the limit.
type HandPiece struct {
	Tags []string `json:"tags"`
	// What it is: "one full case".
	What    string  `json:"what"`
	LowKg   float64 `json:"lowKg"`
	HighKg  float64 `json:"highKg"`
	LimitKg float64 `json:"limitKg"`
	// LowIndex and HighIndex are how many times the limit it is.
	LowIndex  float64 `json:"lowIndex"`
	HighIndex float64 `json:"highIndex"`
}

// handLift is a lift of a move. The geometries are common practice.
type handLift struct {
	words string
	lift  Lift
}

var (
	// caseLift: 21.5 lb.
	caseLift = handLift{"a case drawn from a cabinet and held out in front",
		Lift{Origin: Hands{Horizontal: 20, Vertical: 40}, Destination: Hands{Horizontal: 20, Vertical: 60}, Coupling: Fair}}
	// floorLift: 21.5 lb.
	floorLift = handLift{"a box or a part picked up from the floor",
		Lift{Origin: Hands{Horizontal: 16, Vertical: 10}, Destination: Hands{Horizontal: 16, Vertical: 40}, Coupling: Poor}}
	// benchLift: 34 lb.
	benchLift = handLift{"a thing lifted from a bench to a cart of the same height, close to the body",
		Lift{Origin: Hands{Horizontal: 15, Vertical: 30}, Destination: Hands{Horizontal: 15, Vertical: 30}, Coupling: Fair}}
)

// limit works the lift out, for one person who lifts now and then.
func (h handLift) limit() HandLimit {
	// The geometries above are within scope and bounds: there is no error.
	m, _ := h.lift.AtOrigin(Exact)
	o := h.lift.Origin
	return HandLimit{
		Lift: h.words, HorizontalMm: o.Horizontal * trade.MmPerInch, VerticalMm: o.Vertical * trade.MmPerInch,
		TravelMm: (h.lift.Destination.Vertical - o.Vertical) * trade.MmPerInch,
		LimitKg:  m.RWL * trade.KgPerPound,
	}
}

// mostLiftedKg is where nobody thinks of lifting any more: the heaviest tabletop
// press, 325 lb.
const mostLiftedKg = 325 * trade.KgPerPound

// byHand holds everything that somebody might lift against the lift it takes.
// Pieces of one sort are put together.
func (m *move) byHand() ByHand {
	var h ByHand
	for i, item := range m.items {
		p, lift, ok := handPiece(m.lots[i], item)
		if !ok {
			continue
		}
		h.addLimit(lift.limit())
		h.addPiece(p, lift.limit())
	}
	h.addLimit(floorLift.limit())
	return h
}

// handPiece is what of a lot would be lifted, and how.
func handPiece(lot *pb.Lot, i Item) (HandPiece, handLift, bool) {
	p := HandPiece{Tags: []string{i.Tag}, What: i.Piece.Basis, LowKg: i.Piece.LowKg, HighKg: i.Piece.HighKg}
	switch {
	case cased(lot):
		return p, caseLift, i.Piece.Known
	case lot.GetClass() == pb.Class_CLASS_TYPE_CABINET:
		return cabinetCase(lot, i)
	case !i.StandsAlone:
		if p.What == "moved whole" {
			p.What = i.Title
		}
		return p, floorLift, i.Piece.Known
	case !i.Weight.Known || i.Weight.HighKg/float64(i.Count) > mostLiftedKg:
		return p, benchLift, false
	}
	n := float64(i.Count)
	return HandPiece{Tags: p.Tags, What: i.Title, LowKg: i.Weight.LowKg / n, HighKg: i.Weight.HighKg / n}, benchLift, true
}

// cabinetCase is a case of a cabinet: what the cabinet weighs more than its frame,
// shared out over its cases; or anything from empty to the fullest, where that
// weight is in doubt.
func cabinetCase(lot *pb.Lot, i Item) (HandPiece, handLift, bool) {
	n := float64(lot.GetGeneral().GetCases()) * float64(i.Count)
	if n < 1 || !i.Weight.Known || !i.Piece.Known {
		return HandPiece{}, caseLift, false
	}
	frames := float64(i.Count)
	p := HandPiece{
		Tags: []string{i.Tag}, What: "one case of a cabinet",
		LowKg:  max(i.Weight.LowKg-frames*i.Piece.HighKg, 0) / n,
		HighKg: max(i.Weight.HighKg-frames*i.Piece.LowKg, 0) / n,
	}
	if i.Doubt != "" {
		p.LowKg, p.HighKg = emptyCaseKg, fullestCaseKg
	}
	return p, caseLift, true
}

// An empty case is 8 lb at least, from memory; the fullest was about 100 lb, by a
// printing shop's own account.
const (
	emptyCaseKg   = 8 * trade.KgPerPound
	fullestCaseKg = 100 * trade.KgPerPound
)

// cased tells whether a lot is moved case by case.
func cased(lot *pb.Lot) bool {
	switch lot.GetKind() {
	case pb.Kind_KIND_METAL_TYPE, pb.Kind_KIND_WOOD_TYPE:
		return true
	}
	return lot.GetClass() == pb.Class_CLASS_TYPE_CASE
}

func (h *ByHand) addLimit(l HandLimit) {
	if !slices.Contains(h.Limits, l) {
		h.Limits = append(h.Limits, l)
	}
}

// addPiece joins a piece to one of the same sort.
func (h *ByHand) addPiece(p HandPiece, l HandLimit) {
	p.LimitKg = l.LimitKg
	for i := range h.Pieces {
		q := &h.Pieces[i]
		if q.What == p.What && q.LimitKg == p.LimitKg {
			q.Tags = append(q.Tags, p.Tags...)
			q.LowKg, q.HighKg = min(q.LowKg, p.LowKg), max(q.HighKg, p.HighKg)
			q.index()
			return
		}
	}
	p.index()
	h.Pieces = append(h.Pieces, p)
}

// index works out the lifting index of both ends.
func (p *HandPiece) index() { p.LowIndex, p.HighIndex = p.LowKg/p.LimitKg, p.HighKg/p.LimitKg }
