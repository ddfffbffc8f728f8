package score

import (
	"fmt"
	"math"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// The rigging score is 100 times the product of six terms, each in (0, 1] and
// never greater for a greater weight. All are design choices.
//
//	labour   1 / (1 + total/2,000 kg): weight is work, whatever the kit
//	piece    1 / (1 + (piece/2C)²), C what the kit handles: 0.8 at its limit
//	payload  1 / (1 + (total/2P)²), P the payload: 0.8 for a full load
//	steps    1 / (1 + steps·piece/2,000 kg)
//	door     1 where it goes through with 2 in on each side; 0.85 where it does
//	         with the flywheel or a shelf off (6 in less); 0.5 otherwise
//	floor    rated/actual load a square metre, at most 1
//
// A term never falls below its floor, for what the kit cannot do can be hired: a
// press that needs riggers is not ruled out but costs what it costs.
const (
	labourKg   = 2000
	stepsKg    = 2000
	pieceLeast = 0.1
	otherLeast = 0.3
	stripped   = 0.85
	tooWide    = 0.5
	handRoomMm = 2 * 2 * trade.MmPerInch
	flywheelMm = 6 * trade.MmPerInch
)

// Weights of what nobody knows the weight of, in kilograms; heaviest is the
// contract's limit.
const (
	middlingKg = 200
	heaviestKg = 100_000
)

// riggerKg is the piece from which professional riggers are called anywhere, and
// riggerStepsKg from which they are where there are steps: 2,500 and 1,000 lb,
// common practice.
const (
	riggerKg      = 2500 * trade.KgPerPound
	riggerStepsKg = 1000 * trade.KgPerPound
)

// load is one lot as it might be, everything known.
type load struct {
	total, piece float64
	// narrow is the width it needs of a door, and area its footprint in square
	// metres; 0 and infinite for what goes in boxes.
	narrow, area float64
}

// ease is how easily a kit moves a load, in (0, 1].
func (l load) ease(k kit) float64 {
	return labour(l.total) * within(l.piece, k.handles(), pieceLeast) * within(l.total, k.payload, otherLeast) *
		l.stepEase(k.steps) * l.doorEase(k.door) * l.floorEase(k.floor)
}

func labour(kg float64) float64 { return 1 / (1 + kg/labourKg) }

// within falls with the ratio of a weight to a limit, down to the least.
func within(kg, limit, least float64) float64 {
	if kg == 0 {
		return 1
	}
	r := kg / limit / 2
	return least + (1-least)/(1+float64(r*r))
}

func (l load) stepEase(steps float64) float64 {
	if steps == 0 || l.piece == 0 {
		return 1
	}
	return otherLeast + (1-otherLeast)/(1+steps*l.piece/stepsKg)
}

func (l load) doorEase(door float64) float64 {
	switch {
	case l.narrow == 0 || l.narrow+handRoomMm <= door:
		return 1
	case l.narrow+handRoomMm-flywheelMm <= door:
		return stripped
	}
	return tooWide
}

func (l load) floorEase(rated float64) float64 {
	if pressure := l.total / l.area; pressure > rated {
		return max(rated/pressure, otherLeast)
	}
	return 1
}

// loads are a lot as it might be at best, in the middle and at worst.
type loads struct {
	best, mid, worst load
	total, piece     trade.Estimate
}

func loadsOf(lot *pb.Lot) loads {
	whole := trade.WeightOf(lot)
	l := loads{total: whole, piece: trade.HeaviestPieceOf(lot, whole)}
	total := [3]float64{0, middlingKg, heaviestKg}
	if l.total.Known {
		total = [3]float64{l.total.LowKg, l.total.MidKg(), l.total.HighKg}
	}
	piece := total
	if l.piece.Known {
		piece = [3]float64{l.piece.LowKg, l.piece.MidKg(), l.piece.HighKg}
	}
	if !l.total.Known {
		// The whole may be lighter than any piece that was thought of.
		piece[0] = 0
	}
	narrow, area := outside(lot)
	l.best = load{total[0], piece[0], narrow[0], area[2]}
	l.mid = load{total[1], piece[1], narrow[1], area[1]}
	l.worst = load{total[2], piece[2], narrow[2], area[0]}
	return l
}

// outside is the door that a lot needs and its footprint, from small to large:
// by its own size, by its class, or unknown.
func outside(lot *pb.Lot) (narrow, area [3]float64) {
	narrow, area = wholeOutside(lot)
	switch trade.MovesWhole(lot) {
	case trade.No:
		return same(0), same(math.Inf(1))
	case trade.Unknown:
		// It may be loose cases, which go through one by one.
		narrow[0], area[2] = 0, math.Inf(1)
	}
	return narrow, area
}

// wholeOutside is the same of a lot that is moved whole.
func wholeOutside(lot *pb.Lot) (narrow, area [3]float64) {
	s := lot.GetSize()
	if w, d := s.GetWidthMm(), s.GetDepthMm(); w > 0 && d > 0 {
		return same(min(w, d)), same(w * d / 1e6)
	}
	if p, ok := trade.PlanOf(lot); ok {
		return ends(p.Smallest, p.Largest, func(s *pb.Size) float64 { return min(s.GetWidthMm(), s.GetDepthMm()) }),
			ends(p.Smallest, p.Largest, func(s *pb.Size) float64 { return s.GetWidthMm() * s.GetDepthMm() / 1e6 })
	}
	return [3]float64{0, 600, math.Inf(1)}, [3]float64{0, 0.5, math.Inf(1)}
}

func same(v float64) [3]float64 { return [3]float64{v, v, v} }

func ends(small, large *pb.Size, of func(*pb.Size) float64) [3]float64 {
	a, b := of(small), of(large)
	return [3]float64{a, a + (b-a)/2, b}
}

// rigging scores how hard a lot is to move with the seeker's kit.
func rigging(list *pb.WantedList, lot *pb.Lot) part {
	l, k := loadsOf(lot), list.GetKit()
	p := part{l.figures(k), l.reasons(k)}
	// What the kit does not say is worth saying only where something hangs on it.
	if names := unsaid(k); len(names) > 0 && p.high-p.low > hangsOn {
		p.reasons = append(p.reasons, "your kit does not say: "+strings.Join(names, ", "))
	}
	return p
}

// figures are how easily a kit moves the loads.
func (l loads) figures(k *pb.Kit) figures {
	return figures{
		low:  100 * l.worst.ease(kitOf(k, bare)),
		mid:  100 * l.mid.ease(kitOf(k, planned)),
		high: 100 * l.best.ease(kitOf(k, generous)),
	}
}

// hangsOn is how many points an interval is wide before the kit is asked for.
const hangsOn = 2

func (l loads) reasons(k *pb.Kit) []string {
	reasons := []string{l.weightReason()}
	if l.total.Doubt != "" {
		reasons = append(reasons, "question the weight: "+l.total.Doubt)
	}
	reasons = append(reasons, l.pieceReasons(k)...)
	// What the kit does not say is no reason: of that it has plenty here.
	return append(reasons, l.placeReasons(kitOf(k, generous))...)
}

func (l loads) weightReason() string {
	if !l.total.Known {
		return "its weight is not known, and nothing to estimate it by"
	}
	text := bothMasses(l.total.LowKg, l.total.HighKg) + " in all"
	switch l.total.Grounds {
	case pb.Grounds_GROUNDS_MEASURED:
		return text + ", weighed"
	case pb.Grounds_GROUNDS_ESTIMATED:
		return text + ", estimated from " + l.total.Basis
	}
	return text + ", as stated"
}

func (l loads) pieceReasons(k *pb.Kit) []string {
	switch {
	case !l.piece.Known:
		return nil
	case l.piece.HighKg <= carryKg:
		return []string{fmt.Sprintf("heaviest piece %s (%s), which one person carries", bothMasses(l.piece.LowKg, l.piece.HighKg), l.piece.Basis)}
	}
	movers := "your kit handles"
	if !saysMovers(k) {
		movers = "two people with a dolly handle"
	}
	text := fmt.Sprintf("heaviest piece %s (%s)", bothMasses(l.piece.LowKg, l.piece.HighKg), l.piece.Basis)
	limit := kitOf(k, planned).handles()
	switch figure := bothMasses(limit, limit); {
	case l.piece.HighKg <= limit:
		text += fmt.Sprintf(", within the %s that %s", figure, movers)
	case l.piece.LowKg > limit:
		text += fmt.Sprintf(", beyond the %s that %s: reckon with hired help", figure, movers)
	default:
		text += fmt.Sprintf(", about what %s: %s", movers, figure)
	}
	if l.piece.HighKg > riggerKg || k.GetSteps() > 0 && l.piece.HighKg > riggerStepsKg {
		return []string{text, "a piece as heavy as that is work for professional riggers"}
	}
	return []string{text}
}

func (l loads) placeReasons(k kit) []string {
	var reasons []string
	switch loads := math.Ceil(l.mid.total / k.payload); {
	case !l.total.Known || loads <= 1:
	case k.payload == 0:
		reasons = append(reasons, "you have no vehicle for it")
	default:
		reasons = append(reasons, fmt.Sprintf("%.0f loads for a payload of %s", loads, bothMasses(k.payload, k.payload)))
	}
	switch l.mid.doorEase(k.door) {
	case stripped:
		reasons = append(reasons, "goes through the door only with parts off")
	case tooWide:
		reasons = append(reasons, fmt.Sprintf("%s wide is too wide for a door of %s", bothLengths(l.mid.narrow), bothLengths(k.door)))
	}
	if l.mid.stepEase(k.steps) < 1 {
		reasons = append(reasons, fmt.Sprintf("steps on the way in: %.0f", k.steps))
	}
	if l.mid.floorEase(k.floor) < 1 {
		reasons = append(reasons, fmt.Sprintf("%.0f kg/m² where it stands, on a floor rated for %.0f", l.mid.total/l.mid.area, k.floor))
	}
	return reasons
}

func bothMasses(lowKg, highKg float64) string {
	return trade.FormatMassRange(lowKg, highKg, trade.US) + " (" + trade.FormatMassRange(lowKg, highKg, trade.Metric) + ")"
}

func bothLengths(mm float64) string {
	return trade.FormatLength(math.Round(mm), trade.US) + " (" + trade.FormatLength(math.Round(mm), trade.Metric) + ")"
}
