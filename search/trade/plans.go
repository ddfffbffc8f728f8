package trade

import (
	"math"
	"slices"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
)

// Plan is what is planned with for a machine or a stone of one class and size:
// common practice and memory, unless its row says otherwise. It is for planning
// only: the name plate and the scale go before it.
type Plan struct {
	// Class is the class.
	Class pb.Class
	// Size says which of the class, as "10x15 chase".
	Size string
	// LowKg and HighKg are what it weighs whole, in kilograms.
	LowKg, HighKg float64
	// Smallest and Largest are the outside of it as it stands; nil where that
	// depends on the thing.
	Smallest, Largest *pb.Size
	// Piece is the heaviest single piece after stripping: "frame", or "whole".
	Piece string
	// PieceLowKg and PieceHighKg are what that piece weighs, in kilograms.
	PieceLowKg, PieceHighKg float64
	// Rigger is true where professional riggers are called whatever the kit.
	Rigger bool

	// leastShare and mostShare are what that piece is of the whole.
	leastShare, mostShare float64
	// spans is true where more than one size is meant.
	spans bool
}

// row is a row of the planning table, in the units of its source.
type row struct {
	class pb.Class
	size  string
	// least and most are the governing size in inches, by measureOf.
	least, most float64
	// lowLb and highLb are the weight of the whole.
	lowLb, highLb float64
	// width, depth and height are the outside, in inches.
	width, depth, height float64
	piece                string
	// pieceLow and pieceHigh are the heaviest piece: in pounds, or, where the
	// source gives none, as a share of the whole (1 and below).
	pieceLow, pieceHigh float64
	rigger              bool
}

// Shares of the whole that the heaviest piece has, where the source names the
// piece but not its weight. Frames of the jobbers in the table are 0.55 to 0.67
// of the whole and staples of the hand presses 0.48 to 0.56; the rest are design
// choices, wide on purpose.
const (
	frameLow, frameHigh   = 0.5, 0.7
	stapleLow, stapleHigh = 0.45, 0.6
	baseLow, baseHigh     = 0.6, 0.9
	tableLow, tableHigh   = 0.4, 0.7
	riggerLow, riggerHigh = 0.3, 1
)

// planRows: common practice and memory, as testdata/trade/weights.csv has them.
// Anchors that were seen in print: 8x12 about 1,050 lb, 10x15 about 1,500, 12x18
// about 2,500 (a museum's and restoration shop's page on moving presses);
// automatic 10x15 about 2,200 and an in-bed 24x36 hand press almost 3,000 (a
// print shop's blog). Which platens count as small, demy to royal, or larger goes
// by the old sheet sizes, from memory.
var planRows = []row{
	{pb.Class_CLASS_TABLETOP_PLATEN, "3x5 chase", side2(3, 5), side2(3, 5), 20, 60, 12, 20, 20, "whole", 1, 1, false},
	{pb.Class_CLASS_TABLETOP_PLATEN, "5x8 to 6x9 chase", side2(5, 8), side2(6, 9), 80, 180, 18, 30, 30, "whole", 1, 1, false},
	{pb.Class_CLASS_TABLETOP_PLATEN, "6.5x10 chase and up", side2(6.5, 10), side2(9, 12), 120, 325, 20, 36, 34, "whole", 1, 1, false},
	{pb.Class_CLASS_PLATEN_JOBBER, "6x10 to 7x11 chase", side2(6, 10), side2(7, 11), 500, 950, 34, 38, 45, "frame", 300, 600, false},
	{pb.Class_CLASS_PLATEN_JOBBER, "8x12 chase", side2(8, 12), side2(8, 12), 900, 1300, 40, 45, 50, "frame", 500, 800, false},
	{pb.Class_CLASS_PLATEN_JOBBER, "10x15 chase", side2(10, 15), side2(10, 15), 1200, 1900, 46, 50, 54, "frame", 700, 1200, false},
	{pb.Class_CLASS_PLATEN_JOBBER, "12x18 chase", side2(12, 18), side2(12, 18), 2000, 2900, 52, 58, 58, "frame", 1200, 1900, false},
	{pb.Class_CLASS_PLATEN_JOBBER, "14x22 chase", side2(14, 22), side2(14, 22), 2600, 3600, 58, 65, 62, "frame", 1600, 2400, false},
	{pb.Class_CLASS_PARALLEL_PLATEN, "10x15 chase", side2(10, 15), side2(10, 15), 1800, 2500, 45, 50, 0, "frame", frameLow, frameHigh, false},
	{pb.Class_CLASS_PARALLEL_PLATEN, "14x22 chase", side2(14, 22), side2(14, 22), 3500, 5500, 60, 70, 0, "frame", frameLow, frameHigh, false},
	{pb.Class_CLASS_AUTOMATIC_PLATEN, "10x15 chase", side2(10, 15), side2(10, 15), 2200, 2900, 48, 60, 0, "whole", 1, 1, false},
	{pb.Class_CLASS_AUTOMATIC_PLATEN, "13x18 chase", side2(13, 18), side2(13, 18), 3600, 4800, 60, 70, 0, "whole", 1, 1, false},
	{pb.Class_CLASS_HAND_PRESS, "small (foolscap, card)", side2(8, 10), side2(13.5, 17), 300, 900, 30, 50, 60, "staple", stapleLow, stapleHigh, false},
	{pb.Class_CLASS_HAND_PRESS, "demy to royal", side2(17.5, 22.5), side2(20, 25), 1200, 2600, 40, 80, 75, "staple", 600, 1400, false},
	{pb.Class_CLASS_HAND_PRESS, "super-royal and up", side2(20.5, 27.5), side2(26, 40), 2500, 4500, 50, 90, 80, "staple", 1200, 2500, false},
	{pb.Class_CLASS_GALLEY_PROOF_PRESS, "any", 0, 0, 150, 600, 20, 40, 40, "cylinder", 60, 200, false},
	{pb.Class_CLASS_CYLINDER_PROOF_PRESS, "small, 12 to 15 in wide", 12, 15, 500, 1000, 28, 60, 45, "bed and base", baseLow, baseHigh, false},
	{pb.Class_CLASS_CYLINDER_PROOF_PRESS, "medium, 17 to 20 in wide", 17, 20, 1000, 2000, 36, 80, 48, "bed and base", baseLow, baseHigh, false},
	{pb.Class_CLASS_CYLINDER_PROOF_PRESS, "large, 24 to 32 in wide", 24, 32, 2200, 4800, 44, 110, 50, "base", baseLow, baseHigh, false},
	{pb.Class_CLASS_CYLINDER_PRESS, "any", 0, 0, 4000, 10000, 70, 110, 60, "largest piece", riggerLow, riggerHigh, true},
	{pb.Class_CLASS_TWO_REVOLUTION_PRESS, "any", 0, 0, 10000, 30000, 90, 150, 75, "largest piece", riggerLow, riggerHigh, true},
	{pb.Class_CLASS_TYPE_CASTER, "any", 0, 0, 700, 2300, 36, 36, 50, "whole", 1, 1, false},
	{pb.Class_CLASS_DISPLAY_SLUG_CASTER, "any", 0, 0, 600, 1100, 30, 40, 45, "whole", 1, 1, false},
	{pb.Class_CLASS_LINE_CASTER, "any", 0, 0, 2400, 4500, 60, 72, 84, "frame", 1500, 2500, false},
	{pb.Class_CLASS_BENCH_CUTTER, "14 to 19 in", 14, 19, 80, 300, 24, 36, 30, "whole", 1, 1, false},
	{pb.Class_CLASS_FLOOR_CUTTER, "22 to 30 in", 22, 30, 500, 1500, 45, 55, 55, "table or frame", tableLow, tableHigh, false},
	{pb.Class_CLASS_POWER_CUTTER, "26 to 34 in", 26, 34, 1200, 4000, 60, 70, 55, "largest piece", riggerLow, riggerHigh, true},
	{pb.Class_CLASS_POWER_CUTTER, "37 to 45 in", 37, 45, 4000, 9000, 80, 95, 60, "largest piece", riggerLow, riggerHigh, true},
}

// side2 is the governing measure of a rectangle that is sized by its area: the
// side of the square as large.
func side2(a, b float64) float64 { return math.Sqrt(a * b) }

// asSized is how far a measured size may be off the nominal one and still be it.
// A design choice: chases of one nominal size differ by a few parts in a hundred.
const asSized = 0.03

// Plans returns the planning table of a class, smallest first; none for a class
// that has no figures.
func Plans(c pb.Class) []Plan {
	var plans []Plan
	for _, r := range rowsOf(c) {
		p := r.plan()
		p.Smallest, p.Largest = r.outside(), r.outside()
		plans = append(plans, p)
	}
	return plans
}

// classRows are planRows by their class. Nobody changes them.
var classRows = func() map[pb.Class][]row {
	rows := map[pb.Class][]row{}
	for _, r := range planRows {
		rows[r.class] = append(rows[r.class], r)
	}
	return rows
}()

func rowsOf(c pb.Class) []row { return classRows[c] }

// PlanOf is what to plan with for one piece of a lot, by its class and its
// governing size: the inside of the chase of a platen press, the platen of a
// hand press, the width of a cylinder proof press, the cut of a cutter. Between
// two sizes of the table it spans both, and without a size the whole class.
// It is false for a lot whose class has no planning figures.
func PlanOf(lot *pb.Lot) (Plan, bool) {
	rows := planned(lot)
	if len(rows) == 0 {
		return Plan{}, false
	}
	p := envelope(rows)
	p.Smallest, p.Largest = rows[0].outside(), rows[len(rows)-1].outside()
	return p, true
}

// weightPlanOf is PlanOf without the outside, for who asks for weights only.
func weightPlanOf(lot *pb.Lot) (Plan, bool) {
	rows := planned(lot)
	if len(rows) == 0 {
		return Plan{}, false
	}
	return envelope(rows), true
}

// planned are the rows that a lot is planned with; none if its class has none.
func planned(lot *pb.Lot) []row {
	rows := rowsOf(lot.GetClass())
	if len(rows) == 0 || rows[0].most == 0 {
		return rows
	}
	size, ok := measureOf(lot)
	if !ok {
		return rows
	}
	return fitting(rows, size)
}

// fitting picks the rows that a size falls in, or the two that it falls between.
// Beyond either end of the table the end row is scaled with the area.
func fitting(rows []row, size float64) []row {
	var in []row
	for i, r := range rows {
		switch {
		case size >= r.least*(1-asSized) && size <= r.most*(1+asSized):
			in = append(in, r)
		case i > 0 && size > rows[i-1].most*(1+asSized) && size < r.least*(1-asSized):
			return rows[i-1 : i+1]
		}
	}
	if len(in) > 0 {
		return in
	}
	if first := rows[0]; size < first.least {
		return []row{first.lighter(square(size / first.least))}
	}
	last := rows[len(rows)-1]
	return []row{last.heavier(square(size / last.most))}
}

// lighter is a row whose light end is so many times as heavy, its piece too.
func (r row) lighter(times float64) row {
	r.lowLb *= times
	if !r.byShare() {
		r.pieceLow *= times
	}
	return r
}

// heavier is a row whose heavy end is so many times as heavy, its piece too.
func (r row) heavier(times float64) row {
	r.highLb *= times
	if !r.byShare() {
		r.pieceHigh *= times
	}
	return r
}

func square(v float64) float64 { return v * v }

// byShare tells whether the piece of a row is a share of its whole.
func (r row) byShare() bool { return r.pieceHigh <= 1 }

// pieceLb is the heaviest piece of a row in pounds.
func (r row) pieceLb() (low, high float64) {
	if r.byShare() {
		return r.pieceLow * r.lowLb, r.pieceHigh * r.highLb
	}
	return r.pieceLow, r.pieceHigh
}

// plan is the plan of one row, without its outside.
func (r row) plan() Plan {
	low, high := r.pieceLb()
	return Plan{
		Class: r.class, Size: r.size, LowKg: r.lowLb * KgPerPound, HighKg: r.highLb * KgPerPound,
		Piece: r.piece, PieceLowKg: low * KgPerPound, PieceHighKg: high * KgPerPound, Rigger: r.rigger,
		leastShare: min(low/r.lowLb, high/r.highLb), mostShare: max(low/r.lowLb, high/r.highLb),
	}
}

// envelope spans rows of one class, without their outsides. Which of their sizes it is is not known, so
// the piece may have the least share of the lightest, or the most of the heaviest.
func envelope(rows []row) Plan {
	p := rows[0].plan()
	for _, r := range rows[1:] {
		next := r.plan()
		p.LowKg, p.HighKg = min(p.LowKg, next.LowKg), max(p.HighKg, next.HighKg)
		p.leastShare, p.mostShare = min(p.leastShare, next.leastShare), max(p.mostShare, next.mostShare)
		p.spans = true
	}
	if p.spans {
		p.Size += " to " + rows[len(rows)-1].size
		p.PieceLowKg, p.PieceHighKg = p.LowKg*p.leastShare, p.HighKg*p.mostShare
	}
	return p
}

func (r row) outside() *pb.Size {
	s := &pb.Size{WidthMm: proto.Float64(r.width * MmPerInch), DepthMm: proto.Float64(r.depth * MmPerInch)}
	if r.height > 0 {
		s.HeightMm = proto.Float64(r.height * MmPerInch)
	}
	return s
}

// measureOf is the governing size of a lot's class, in inches.
func measureOf(lot *pb.Lot) (float64, bool) {
	r := governing(lot)
	if !validRectangle(r) {
		return 0, false
	}
	short := min(r.GetWidthMm(), r.GetHeightMm()) / MmPerInch
	long := max(r.GetWidthMm(), r.GetHeightMm()) / MmPerInch
	switch lot.GetClass() {
	case pb.Class_CLASS_CYLINDER_PROOF_PRESS:
		return short, true
	case pb.Class_CLASS_BENCH_CUTTER, pb.Class_CLASS_FLOOR_CUTTER, pb.Class_CLASS_POWER_CUTTER:
		return long, true
	}
	return side2(short, long), true
}

// governing is the rectangle that a lot's class is sized by.
func governing(lot *pb.Lot) *pb.Rectangle {
	press := lot.GetPress()
	switch c := lot.GetClass(); {
	case slices.Contains(platens, c):
		return press.GetChase()
	case c == pb.Class_CLASS_HAND_PRESS:
		return firstOf(press.GetPlaten(), press.GetBed())
	case KindOf(c) == pb.Kind_KIND_PRESS:
		return firstOf(press.GetBed(), press.GetSheet())
	}
	return lot.GetGeneral().GetWorkingSize()
}

// platens are the classes that are sized by the inside of their chase.
var platens = []pb.Class{
	pb.Class_CLASS_TABLETOP_PLATEN, pb.Class_CLASS_PLATEN_JOBBER,
	pb.Class_CLASS_PARALLEL_PLATEN, pb.Class_CLASS_AUTOMATIC_PLATEN,
}

func firstOf(rs ...*pb.Rectangle) *pb.Rectangle {
	for _, r := range rs {
		if validRectangle(r) {
			return r
		}
	}
	return nil
}

// validRectangle tells whether both sides are there and finite.
func validRectangle(r *pb.Rectangle) bool {
	return positive(r.GetWidthMm()) && positive(r.GetHeightMm())
}

// positive tells whether v is more than 0 and finite; NaN is neither.
func positive(v float64) bool { return v > 0 && v <= math.MaxFloat64 }
