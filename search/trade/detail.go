package trade

import (
	"regexp"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
)

// FillDetail reads what the keeper wrote as the size into the typed detail of
// the lot's kind, where the detail does not say it yet.
//
//	press     "10x15": the chase of a platen press, the platen of a hand press,
//	          the bed of any other. "bed 20x26", "platen …", "chase …" and
//	          "sheet …" say which themselves.
//	type      "24pt", "12 line", "great primer"; a bare number is points for
//	          metal type and lines for wood type.
//	cuts      the face of the largest.
//	stones    "24x36x2": the slab and its thickness.
//	cutters   "26 in": the cut, both ways; or two sides.
//	cabinets  "24 cases", "24 drawers".
//
// Other kinds keep the size as it was written. Without a size nothing happens.
// It also gives a lot the empty detail of its kind, and the kind of its class if
// it has none. The error is a *ParseError; a lot whose class is of another kind
// is one too.
func FillDetail(lot *pb.Lot) error {
	if lot.GetKind() == pb.Kind_KIND_UNSPECIFIED {
		lot.Kind = KindOf(lot.GetClass())
	}
	if of := KindOf(lot.GetClass()); of != pb.Kind_KIND_UNSPECIFIED && of != lot.GetKind() {
		return misread(ClassWord(lot.GetClass()), "a class of "+KindWord(lot.GetKind()), "it belongs to %s", KindWord(of))
	}
	size := strings.TrimSpace(lot.GetSizeAsWritten())
	switch lot.GetKind() {
	case pb.Kind_KIND_PRESS:
		return fillPress(lot, size)
	case pb.Kind_KIND_METAL_TYPE:
		return fillMetal(lot, size)
	case pb.Kind_KIND_WOOD_TYPE:
		return fillWood(lot, size)
	case pb.Kind_KIND_CUTS:
		return fillCuts(lot, size)
	}
	return fillGeneral(lot, size)
}

var partNameRE = regexp.MustCompile(`^(?:inside )?(chase|bed|platen|sheet)s?:? (.+)$|^(.+?) (?:inside )?(chase|bed|platen|sheet)s?$`)

// namedPart parts "bed 20x26" or "20x26 bed" into the part and its size.
func namedPart(text string) (part, size string) {
	m := partNameRE.FindStringSubmatch(plain(text))
	switch {
	case m == nil:
		return "", text
	case m[1] != "":
		return m[1], m[2]
	}
	return m[4], m[3]
}

func fillPress(lot *pb.Lot, text string) error {
	p := lot.GetPress()
	if p == nil {
		p = &pb.PressDetail{}
		lot.Detail = &pb.Lot_Press{Press: p}
	}
	if text == "" {
		return nil
	}
	part, size := namedPart(text)
	where := sizedPart(p, part, lot.GetClass())
	if *where != nil {
		return nil
	}
	r, err := ParseRectangle(size)
	if err != nil {
		return misread(text, "the size of a press", "%s; a part may stand before it, as bed 20x26", rectangleHelp)
	}
	*where = r
	return nil
}

// sizedPart is the part of a press that a size is that of: the part named, or
// the one that its class is sized by.
func sizedPart(p *pb.PressDetail, part string, c pb.Class) **pb.Rectangle {
	switch {
	case part == "sheet":
		return &p.Sheet
	case part == "chase", part == "" && (slices.Contains(platens, c) || c == pb.Class_CLASS_UNSPECIFIED):
		return &p.Chase
	case part == "platen", part == "" && c == pb.Class_CLASS_HAND_PRESS:
		return &p.Platen
	}
	return &p.Bed
}

var bareNumberRE = regexp.MustCompile(`^\d+(\.\d+)?$`)

// typeSizeIn reads a type size; a bare number is in the unit given.
func typeSizeIn(text, unit string) (*pb.TypeSize, error) {
	if bareNumberRE.MatchString(text) {
		return ParseTypeSize(text + " " + unit)
	}
	return ParseTypeSize(text)
}

func fillMetal(lot *pb.Lot, text string) (err error) {
	d := lot.GetMetalType()
	if d == nil {
		d = &pb.MetalTypeDetail{}
		lot.Detail = &pb.Lot_MetalType{MetalType: d}
	}
	if text != "" && d.GetSize() == nil {
		d.Size, err = typeSizeIn(text, "pt")
	}
	return err
}

func fillWood(lot *pb.Lot, text string) (err error) {
	d := lot.GetWoodType()
	if d == nil {
		d = &pb.WoodTypeDetail{}
		lot.Detail = &pb.Lot_WoodType{WoodType: d}
	}
	if text != "" && d.GetSize() == nil {
		d.Size, err = typeSizeIn(text, "line")
	}
	return err
}

func fillCuts(lot *pb.Lot, text string) (err error) {
	d := lot.GetCuts()
	if d == nil {
		d = &pb.CutsDetail{}
		lot.Detail = &pb.Lot_Cuts{Cuts: d}
	}
	if d.Pieces == nil && lot.Count != nil {
		d.Pieces = proto.Int32(lot.GetCount())
	}
	if text != "" && d.GetFace() == nil {
		d.Face, err = ParseRectangle(text)
	}
	return err
}

func fillGeneral(lot *pb.Lot, text string) error {
	d := lot.GetGeneral()
	if d == nil {
		d = &pb.GeneralDetail{}
		lot.Detail = &pb.Lot_General{General: d}
	}
	switch {
	case text == "":
	case lot.GetKind() == pb.Kind_KIND_STONES:
		return fillSlab(d, text)
	case lot.GetKind() == pb.Kind_KIND_CUTTERS:
		return fillCut(d, text)
	case lot.GetKind() == pb.Kind_KIND_CABINETS:
		fillCases(d, text)
	}
	return nil
}

func fillSlab(d *pb.GeneralDetail, text string) error {
	slab, thick, err := ParseSlab(text)
	if err != nil {
		return err
	}
	if d.GetWorkingSize() == nil {
		d.WorkingSize = slab
	}
	if d.ThicknessMm == nil {
		d.ThicknessMm = thick
	}
	return nil
}

// fillCut reads the cut of a cutter: one length, which then stands for both
// sides, or two.
func fillCut(d *pb.GeneralDetail, text string) error {
	if d.GetWorkingSize() != nil {
		return nil
	}
	if mm, err := ParseLength(text, Inch); err == nil && mm <= longestSideMm {
		d.WorkingSize = &pb.Rectangle{WidthMm: mm, HeightMm: mm}
		return nil
	}
	r, err := ParseRectangle(text)
	if err != nil {
		return misread(text, "the cut of a cutter", "write it as 26 in or 660 mm")
	}
	d.WorkingSize = r
	return nil
}

var casesRE = regexp.MustCompile(`^(\d{1,4})[ -]?(?:case|drawer|shelf|shelve|galley|tray)s?$`)

// fillCases reads how many cases a cabinet has. Other sizes of furniture are
// left as they were written.
func fillCases(d *pb.GeneralDetail, text string) {
	if m := casesRE.FindStringSubmatch(plain(text)); m != nil && d.Cases == nil {
		d.Cases = proto.Int32(int32(atoi(m[1])))
	}
}
