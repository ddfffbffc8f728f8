package trade

import (
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

const (
	rectangleHelp = "write it as 10x15 (inches), 10 x 15 in or 254x381 mm"
	// longestSideMm is the contract's limit for a side.
	longestSideMm = 10_000
	// longestBareInch is where a number without a unit can hardly be inches any
	// more: no sheet, bed or stone of the trade is as long. A design choice.
	longestBareInch = 100
)

// ParseRectangle reads two sides: "10x15", "10 × 15 in", "254x381 mm",
// "10 by 15", "6½x10", `10" x 15"`. Without a unit they are inches; a unit after
// the last side counts for both. Sides above 100 without a unit are refused, for
// they are surely millimetres. The error is a *ParseError.
func ParseRectangle(text string) (*pb.Rectangle, error) {
	mm, err := parseSides(text, "a size", rectangleHelp, 2, 2)
	if err != nil {
		return nil, err
	}
	return &pb.Rectangle{WidthMm: mm[0], HeightMm: mm[1]}, nil
}

// ParseSlab reads a slab: "24x36x2" is 24 by 36 in and 2 in thick. The thickness
// may be left out and is then nil. Units are read as by ParseRectangle.
func ParseSlab(text string) (slab *pb.Rectangle, thicknessMm *float64, err error) {
	mm, err := parseSides(text, "the size of a slab", "write it as 24x36x2 (inches) or 610x914x50 mm", 2, 3)
	if err != nil {
		return nil, nil, err
	}
	if len(mm) == 3 {
		thicknessMm = &mm[2]
	}
	return &pb.Rectangle{WidthMm: mm[0], HeightMm: mm[1]}, thicknessMm, nil
}

// ParseSize reads the outside of a thing, width by depth by height:
// "46 x 50 x 54 in".
func ParseSize(text string) (*pb.Size, error) {
	mm, err := parseSides(text, "an outside size", "write width x depth x height, as 46x50x54 in", 3, 3)
	if err != nil {
		return nil, err
	}
	return &pb.Size{WidthMm: &mm[0], DepthMm: &mm[1], HeightMm: &mm[2]}, nil
}

// parseSides reads from least to most sides and returns them in millimetres.
func parseSides(text, what, help string, least, most int) ([]float64, error) {
	sides, ok := readSides(plain(text))
	if !ok || len(sides) < least || len(sides) > most {
		return nil, misread(text, what, "%s", help)
	}
	if !agree(sides) {
		return nil, misread(text, what, "give a unit to every side, or one after the last; %s", help)
	}
	var mm []float64
	for _, s := range sides {
		switch v := s.mm(Inch); {
		case !s.named && s.number > longestBareInch:
			return nil, misread(text, what, "without a unit it would be in inches; say which unit, as in 254x381 mm")
		case v <= 0 || v > longestSideMm:
			return nil, misread(text, what, "a side is more than 0 and at most 10 m")
		default:
			mm = append(mm, v)
		}
	}
	return mm, nil
}

// readSides reads sides with x or "by" between them.
func readSides(text string) ([]side, bool) {
	s := scan{text}
	var sides []side
	for {
		l, ok := s.side()
		if !ok {
			return nil, false
		}
		sides = append(sides, l)
		if s.done() {
			return sides, true
		}
		if !s.take("x") && !s.take("by") && !s.take("*") {
			return nil, false
		}
	}
}

// agree gives every side its unit. A unit after the last side counts for the
// sides before it that have none; `10" x 15` is the only other short form.
func agree(sides []side) bool {
	named := func(s side) bool { return s.named }
	last := sides[len(sides)-1]
	if !last.named {
		if !slices.ContainsFunc(sides, named) {
			return true
		}
		last = sides[0]
		if !last.named || last.unit == Foot || last.unit == Metre {
			return false
		}
	}
	for i := range sides {
		if !sides[i].named {
			sides[i].unit, sides[i].named = last.unit, true
		}
	}
	return true
}

// FormatRectangle shows two sides: "10 x 15 in" or "254 x 381 mm". Nothing is
// shown for nil.
func FormatRectangle(r *pb.Rectangle, u Units) string {
	if r == nil {
		return ""
	}
	return lengthNumber(r.GetWidthMm(), u) + " x " + lengthNumber(r.GetHeightMm(), u) + lengthUnit(u)
}
