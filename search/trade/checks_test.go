package trade

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// check is a row of a check table; testdata/trade/README.md explains it.
type check struct {
	quantity, given, printed, rounding, full, mark, source string
}

func readChecks(t *testing.T, name string) []check {
	t.Helper()
	f, err := os.Open("../../testdata/trade/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var checks []check
	for _, r := range rows[1:] {
		checks = append(checks, check{r[0], r[1], r[2], r[3], r[4], r[5], r[6]})
	}
	return checks
}

// TestCheckTables reproduces every figure of the check tables: at full precision,
// and as it was printed.
func TestCheckTables(t *testing.T) {
	for name, least := range map[string]int{"measures.csv": 114, "founts.csv": 159, "weights.csv": 233} {
		checks := readChecks(t, name)
		if len(checks) < least {
			t.Errorf("%s has %d rows, want at least %d", name, len(checks), least)
		}
		for i, c := range checks {
			t.Run(fmt.Sprintf("%s row %d %s %s", name, i+2, c.quantity, c.given), c.test)
		}
	}
}

func (c check) test(t *testing.T) {
	if c.source == "" || c.mark == "" {
		t.Error("the row does not say where it is from")
	}
	printed, err := strconv.ParseFloat(c.printed, 64)
	if err != nil {
		t.Fatal(err)
	}
	full, err := strconv.ParseFloat(c.full, 64)
	if err != nil {
		t.Fatal(err)
	}
	if c.rounding == "inside" {
		low, high := rangeOf(t, c)
		if low > full || full > high {
			t.Errorf("%v is not inside %v to %v", full, low, high)
		}
		return
	}
	got := figureOf(t, c)
	how, figure, _ := strings.Cut(c.rounding, " ")
	switch how {
	case "nearest", "down", "from":
		if math.Abs(got-full) > 1e-9*max(1, math.Abs(full)) {
			t.Errorf("got %.12g, want %.12g", got, full)
		}
		if how == "from" {
			got = number(t, figure)
		}
		if r := rounded(got, c.printed, how); r != printed {
			t.Errorf("rounds to %v, printed is %s", r, c.printed)
		}
	case "within":
		if math.Abs(got-printed) > number(t, figure) {
			t.Errorf("got %v, want %v within %s", got, printed, figure)
		}
	case "at":
		if figure == "least" && got < printed || figure == "most" && got > printed {
			t.Errorf("got %v, want at %s %v", got, figure, printed)
		}
	default:
		t.Errorf("no rounding is called %q", c.rounding)
	}
}

// rounded brings v to the decimals that were printed: half away from zero, or
// cut off.
func rounded(v float64, printed, how string) float64 {
	_, decimals, _ := strings.Cut(printed, ".")
	scale := math.Pow10(len(decimals))
	if how == "down" {
		return math.Floor(v*scale) / scale
	}
	return math.Round(v*scale) / scale
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func figureOf(t *testing.T, c check) float64 {
	t.Helper()
	for _, figure := range []func(*testing.T, check) (float64, bool){pointFigure, heightFigure, sizeFigure, fountFigure, weightFigure, classFigure} {
		if v, ok := figure(t, c); ok {
			return v
		}
	}
	t.Fatalf("no figure for %q", c.quantity)
	return 0
}

func definition(t *testing.T, rule string) PicaDefinition {
	t.Helper()
	for _, d := range PicaDefinitions() {
		if d.Rule == rule {
			return d
		}
	}
	t.Fatalf("no pica with the rule %q", rule)
	return PicaDefinition{}
}

func pointFigure(t *testing.T, c check) (float64, bool) {
	in1894, cm1894 := definition(t, "1 pica is 0.166 in").Inch, definition(t, "83 picas are 35 cm").Inch*2.54
	switch c.quantity {
	case "pica in":
		return definition(t, c.given).Inch, true
	case "pica mm":
		return definition(t, c.given).Inch * MmPerInch, true
	case "point in":
		return definition(t, c.given).Inch / 12, true
	case "point mm":
		return definition(t, c.given).Inch / 12 * MmPerInch, true
	case "83 picas in cm":
		return 83 * PicaMm / 10, true
	case "83 picas over 35 cm, percent":
		return (83*PicaMm/350 - 1) * 100, true
	case "1894 body in":
		return in1894 / 12 * number(t, c.given), true
	case "1894 body cm":
		return cm1894 / 12 * number(t, c.given), true
	case "1894 ems to the foot":
		return 12 / (in1894 / 12 * number(t, c.given)), true
	case "1894 points to the metre":
		return 100 / (cm1894 / 12), true
	case "picas in 1894 in":
		return in1894 * number(t, c.given), true
	case "desktop point mm":
		return DesktopPointMm, true
	case "desktop over American, percent":
		return (DesktopPointMm/PointMm - 1) * 100, true
	}
	return 0, false
}

func namedPoint(t *testing.T, name string) PointDefinition {
	t.Helper()
	for _, d := range PointDefinitions() {
		if d.Name == name {
			return d
		}
	}
	t.Fatalf("no point named %q", name)
	return PointDefinition{}
}

func heightOf(t *testing.T, where string) Height {
	t.Helper()
	for _, h := range Heights() {
		if h.Where == where {
			return h
		}
	}
	t.Fatalf("no height for %q", where)
	return Height{}
}

func lengthOf(t *testing.T, text string) float64 {
	t.Helper()
	mm, err := ParseLength(text, Inch)
	if err != nil {
		t.Fatal(err)
	}
	return mm
}

func heightFigure(t *testing.T, c check) (float64, bool) {
	switch c.quantity {
	case "named point mm":
		return namedPoint(t, c.given).LowMm, true
	case "named point in":
		return namedPoint(t, c.given).LowMm / MmPerInch, true
	case "named 12 points mm", "named 12 points mm, low":
		return 12 * namedPoint(t, c.given).LowMm, true
	case "named 12 points mm, high":
		return 12 * namedPoint(t, c.given).HighMm, true
	case "named 12 points in":
		return 12 * namedPoint(t, c.given).LowMm / MmPerInch, true
	case "height in":
		return heightOf(t, c.given).Inch, true
	case "height mm", "height mm, low":
		return heightOf(t, c.given).LowMm, true
	case "height mm, high":
		return heightOf(t, c.given).HighMm, true
	case "heights apart, in":
		a, b, _ := strings.Cut(c.given, "|")
		return heightOf(t, b).Inch - heightOf(t, a).Inch, true
	case "inches in mm":
		return lengthOf(t, c.given), true
	case "mm in inches":
		return lengthOf(t, c.given) / MmPerInch, true
	case "Didot points in mm":
		return number(t, c.given) * DidotPoint.Mm(), true
	case "type heights in cm":
		return number(t, c.given) * USHeightMm / 10, true
	case "35 cm over heights, in":
		return 350 / number(t, c.given) / MmPerInch, true
	}
	return 0, false
}

func typeSizeOf(t *testing.T, text string) *pb.TypeSize {
	t.Helper()
	size, err := ParseTypeSize(text)
	if err != nil {
		t.Fatal(err)
	}
	return size
}

func sizeFigure(t *testing.T, c check) (float64, bool) {
	switch c.quantity {
	case "lines in inches":
		low, _ := BodyMm(typeSizeOf(t, c.given))
		return low / MmPerInch, true
	case "inches in lines":
		return lengthOf(t, c.given) / Pica.Mm(), true
	case "nearest lines":
		lines, _ := LinesOf(lengthOf(t, c.given))
		return float64(lines), true
	case "old name":
		return typeSizeOf(t, c.given).GetPoints(), true
	case "old name, first", "old name, other":
		n, _ := OldNameOf(c.given)
		if len(n.Points) != 2 || typeSizeOf(t, c.given).Points != nil {
			t.Fatalf("%s: %v is no conflict", c.given, n)
		}
		if c.quantity == "old name, first" {
			return n.Points[0], true
		}
		return n.Points[1], true
	}
	return 0, false
}

func schemeBill(t *testing.T, text string) Bill {
	t.Helper()
	s, err := ParseScheme(text)
	if err != nil {
		t.Fatal(err)
	}
	return s.Bill()
}

func fountFigure(t *testing.T, c check) (float64, bool) {
	book := BookBill()
	if scheme, ok := strings.CutPrefix(c.quantity, "scheme "); ok {
		if scheme == "8A 10a, lower case" {
			return float64(schemeBill(t, "8A 10a").Sum(LowerCase)), true
		}
		return float64(schemeBill(t, scheme)[c.given]), true
	}
	switch c.quantity {
	case "book bill":
		return float64(book[c.given]), true
	case "book bill, sum":
		return float64(book.Sum(map[string]Group{"a-z": LowerCase, "A-Z": Capitals}[c.given])), true
	case "book bill, percent of a-z":
		return float64(book[c.given]) * 100 / float64(book.Sum(LowerCase)), true
	case "book bill, percent of capitals":
		return float64(book.Sum(Capitals)) * 100 / float64(book.Sum(LowerCase)), true
	case "book bill, ratio":
		return float64(book["e"]) / float64(book["z"]), true
	case "letters of a weight fount":
		letters, _ := FountByWeight(number(t, c.given))
		return letters, true
	case "spacing of a weight fount":
		_, spacing := FountByWeight(number(t, c.given))
		return spacing, true
	case "pieces of a wood fount, at least", "pieces of a wood fount, at most":
		return float64(schemeBill(t, c.given).Pieces()), true
	case "5A with three E's behaves as":
		as, limiting := Scheme{Caps: 5}.Usable(threeEs(t))
		if limiting != "E" {
			t.Errorf("limiting letter %q, want E", limiting)
		}
		return as, true
	case "5A with three E's is short of":
		return float64(threeEs(t).Short(schemeBill(t, "5A"))[c.given]), true
	}
	return 0, false
}

// threeEs is a 5A fount with three E's where there should be six.
func threeEs(t *testing.T) Bill {
	b := schemeBill(t, "5A")
	b["E"] = 3
	return b
}

func mixNamed(t *testing.T, name string) Mix {
	t.Helper()
	for _, m := range Mixes() {
		if m.Name == name {
			return m
		}
	}
	t.Fatalf("no alloy %q", name)
	return Mix{}
}

func weightFigure(t *testing.T, c check) (float64, bool) {
	switch c.quantity {
	case "alloy density g/cm3":
		return mixNamed(t, c.given).Density(), true
	case "alloy lb/in3":
		return mixNamed(t, c.given).Density() * lbPerIn3, true
	case "alloy lb/in2":
		return mixNamed(t, c.given).LbPerIn2(), true
	case "alloy in2/lb":
		return 1 / mixNamed(t, c.given).LbPerIn2(), true
	case "type, in2 a pound":
		low, high := metalLbPerIn2(pb.Alloy_ALLOY_UNSPECIFIED)
		if c.given == "set, most" {
			return 1 / low, true
		}
		return 1 / high, true
	case "wood type low lb/in2":
		low, _ := woodLbPerIn2()
		return low, true
	case "wood type high lb/in2":
		_, high := woodLbPerIn2()
		return high, true
	case "a 10x6 in wood letter, lb":
		_, high := woodLbPerIn2()
		return 60 * high, true
	case "metal over wood by area, times":
		_, wood := woodLbPerIn2()
		return mixNamed(t, "single-type caster").LbPerIn2() / wood, true
	case "slab lb":
		return slabFigure(t, c.given), true
	case "cabinet of cases, low lb", "stone with its stand, low lb":
		low, _ := rangeOf(t, c)
		return low, true
	case "cabinet of cases, high lb", "stone with its stand, high lb":
		_, high := rangeOf(t, c)
		return high, true
	}
	return 0, false
}

// slabFigure is the slab alone of a stone of that size and material, in pounds.
func slabFigure(t *testing.T, given string) float64 {
	t.Helper()
	size, material, _ := strings.Cut(given, "|")
	lot := &pb.Lot{
		Kind: pb.Kind_KIND_STONES, Class: pb.Class_CLASS_IMPOSING_STONE, SizeAsWritten: size,
		Detail: &pb.Lot_General{General: &pb.GeneralDetail{Material: material}},
	}
	if err := FillDetail(lot); err != nil {
		t.Fatal(err)
	}
	e := HeaviestPiece(lot)
	if e.LowKg != e.HighKg {
		t.Errorf("a slab of known size and material weighs %v to %v", e.LowKg, e.HighKg)
	}
	return e.LowKg / KgPerPound
}

// rangeOf is the program's range in pounds (or square inches to the pound).
func rangeOf(t *testing.T, c check) (low, high float64) {
	t.Helper()
	lot := &pb.Lot{}
	switch c.quantity {
	case "type, in2 a pound":
		low, high = metalLbPerIn2(pb.Alloy_ALLOY_UNSPECIFIED)
		return 1 / high, 1 / low
	case "type of an area, lb":
		area := number(t, c.given) * mm2PerIn2
		lot = &pb.Lot{Kind: pb.Kind_KIND_METAL_TYPE, Detail: &pb.Lot_MetalType{MetalType: &pb.MetalTypeDetail{AreaMm2: &area}}}
	case "type in cases, lb":
		cases := number(t, c.given)
		lot = &pb.Lot{Kind: pb.Kind_KIND_METAL_TYPE, Detail: &pb.Lot_MetalType{MetalType: &pb.MetalTypeDetail{Cases: &cases}}}
	case "a loose case, lb", "an empty case, lb":
		lot = &pb.Lot{Kind: pb.Kind_KIND_CABINETS, Class: pb.Class_CLASS_TYPE_CASE}
	case "cabinet of cases, lb", "cabinet of cases, low lb", "cabinet of cases, high lb":
		cases := int32(number(t, c.given))
		lot = &pb.Lot{Kind: pb.Kind_KIND_CABINETS, Class: pb.Class_CLASS_TYPE_CABINET, Detail: &pb.Lot_General{General: &pb.GeneralDetail{Cases: &cases}}}
	case "stone with its stand, low lb", "stone with its stand, high lb":
		lot = &pb.Lot{Kind: pb.Kind_KIND_STONES, Class: pb.Class_CLASS_IMPOSING_STONE}
	case "class, inside lb":
		lot = classLot(t, c.given)
	default:
		t.Fatalf("no range for %q", c.quantity)
	}
	e := WeightOf(lot)
	if !e.Known {
		t.Fatalf("nothing is known of the weight of %v", lot)
	}
	return e.LowKg / KgPerPound, e.HighKg / KgPerPound
}

// classLot is a lot of a class and size, written as a keeper writes them.
func classLot(t *testing.T, given string) *pb.Lot {
	t.Helper()
	class, size, _ := strings.Cut(given, "|")
	c, err := ParseClass(class)
	if err != nil {
		t.Fatal(err)
	}
	lot := &pb.Lot{Kind: KindOf(c), Class: c, SizeAsWritten: size}
	if err := FillDetail(lot); err != nil {
		t.Fatal(err)
	}
	return lot
}

func classFigure(t *testing.T, c check) (float64, bool) {
	quantity, ok := strings.CutPrefix(c.quantity, "class ")
	if !ok {
		return 0, false
	}
	lot := classLot(t, c.given)
	p, ok := PlanOf(lot)
	if !ok {
		t.Fatalf("no plan for %s", c.given)
	}
	piece := HeaviestPiece(lot)
	switch quantity {
	case "low lb":
		return p.LowKg / KgPerPound, true
	case "high lb":
		return p.HighKg / KgPerPound, true
	case "piece low lb":
		return piece.LowKg / KgPerPound, true
	case "piece high lb":
		return piece.HighKg / KgPerPound, true
	case "width in":
		return p.Smallest.GetWidthMm() / MmPerInch, true
	case "depth in":
		return p.Largest.GetDepthMm() / MmPerInch, true
	case "height in":
		return p.Largest.GetHeightMm() / MmPerInch, true
	case "wants riggers":
		return map[bool]float64{true: 1}[p.Rigger], true
	}
	return 0, false
}
