package trade

import (
	"math"
	"regexp"
	"strings"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
)

const (
	typeSizeHelp = "write it as 24pt, 24 pt Didot, 12 line or great primer"
	// largestBodyPt bounds a body: 100 lines is more than any wood type.
	largestBodyPt    = 1200
	largestBodyLines = 100
	// woodOffMm is how far old wood type runs off its size: 0.03 in, common
	// practice.
	woodOffMm = 0.03 * MmPerInch
)

var pointSystems = map[string]pb.PointSystem{
	"":            pb.PointSystem_POINT_SYSTEM_UNSPECIFIED,
	"american":    pb.PointSystem_POINT_SYSTEM_AMERICAN,
	"us":          pb.PointSystem_POINT_SYSTEM_AMERICAN,
	"anglo":       pb.PointSystem_POINT_SYSTEM_AMERICAN,
	"didot":       pb.PointSystem_POINT_SYSTEM_DIDOT,
	"desktop":     pb.PointSystem_POINT_SYSTEM_DESKTOP,
	"dtp":         pb.PointSystem_POINT_SYSTEM_DESKTOP,
	"postscript":  pb.PointSystem_POINT_SYSTEM_DESKTOP,
	"typographic": pb.PointSystem_POINT_SYSTEM_UNSPECIFIED,
}

// leadedRE finds a body with its leading, 10/12; 5 1/2 is none.
var leadedRE = regexp.MustCompile(`^\d+/\d+`)

// ParseTypeSize reads the body size of type: "24pt", "24 point", "24 pt Didot",
// "12 line", "12-line", "great primer", "8 cicero". The system of points stays
// unspecified unless the text names it. An old name is kept; where the lists
// conflict on it, as for canon, no points are given. A size in inches or
// millimetres is that of the body, not of the face, and is read as lines where
// it is within 0.03 in of a whole number of them. A bare number is refused. The
// error is a *ParseError.
func ParseTypeSize(text string) (*pb.TypeSize, error) {
	if size, ok := namedSize(text); ok {
		return size, nil
	}
	if leadedRE.MatchString(plain(text)) {
		return nil, misread(text, "a type size", "give the body alone, without the leading, as 10pt")
	}
	s := scan{plain(text)}
	n, ok := s.number()
	s.take("-")
	system, named := s.systemWord()
	unit := s.word()
	if !named {
		system, _ = s.systemWord()
	}
	if unit == "line" || unit == "lines" {
		s.take("pica")
	}
	if !ok || !s.done() || n <= 0 {
		return nil, misread(text, "a type size", typeSizeHelp)
	}
	return typeSize(text, n, unit, system)
}

// systemWord reads the name of a point system, if one is there.
func (s *scan) systemWord() (pb.PointSystem, bool) {
	before := s.rest
	w := s.word()
	system, ok := pointSystems[w]
	if !ok || w == "" {
		s.rest = before
	}
	return system, ok && w != ""
}

// shownSizeRE finds a named size as FormatTypeSize shows it.
var shownSizeRE = regexp.MustCompile(`^(.+) \(([\d.]+) ?pts?\)$`)

// namedSize reads an old name, alone or with the points it is believed to be.
func namedSize(text string) (*pb.TypeSize, bool) {
	name, points := plain(text), ""
	if m := shownSizeRE.FindStringSubmatch(name); m != nil {
		name, points = m[1], m[2]
	}
	n, ok := OldNameOf(name)
	size := &pb.TypeSize{OldName: n.Name}
	if ok && !n.Conflict() {
		size.Points = proto.Float64(n.Points[0])
	}
	return size, ok && (points == "" || size.Points != nil && digits(points) == size.GetPoints())
}

func typeSize(text string, n float64, unit string, system pb.PointSystem) (*pb.TypeSize, error) {
	switch unit {
	case "pt", "pts", "point", "points":
		return pointSize(text, n, system)
	case "cicero", "ciceros":
		return pointSize(text, 12*n, pb.PointSystem_POINT_SYSTEM_DIDOT)
	case "line", "lines", "ln", "lns", "pica", "picas":
		return lineSize(text, n)
	case "in", "inch", "inches", `"`, "mm", "cm":
		return bodySize(text, n*unitWords[unit].Mm())
	case "":
		return nil, misread(text, "a type size", "say whether it is points or lines, as 24pt or 12 line")
	}
	return nil, misread(text, "a type size", typeSizeHelp)
}

func pointSize(text string, n float64, system pb.PointSystem) (*pb.TypeSize, error) {
	if n > largestBodyPt {
		return nil, misread(text, "a type size", "the largest body is %d points", largestBodyPt)
	}
	return &pb.TypeSize{Points: proto.Float64(n), System: system}, nil
}

func lineSize(text string, n float64) (*pb.TypeSize, error) {
	if n > largestBodyLines {
		return nil, misread(text, "a type size", "the largest body is %d lines", largestBodyLines)
	}
	return &pb.TypeSize{Lines: proto.Float64(n)}, nil
}

func bodySize(text string, mm float64) (*pb.TypeSize, error) {
	lines, off := LinesOf(mm)
	if lines < 1 || math.Abs(off) > woodOffMm {
		return nil, misread(text, "the body of wood type", "%d line is %s; if it is the body that you measured, and not the face, write %d line", max(lines, 1), FormatLength(float64(max(lines, 1))*PicaMm, US), max(lines, 1))
	}
	return lineSize(text, float64(lines))
}

// LinesOf is the whole number of lines nearest to a body in millimetres, and by
// how much the body is larger than that. Measure the body: the face is smaller.
func LinesOf(mm float64) (lines int, offMm float64) {
	n := math.Round(mm / PicaMm)
	return int(n), mm - float64(n*PicaMm)
}

// BodyMm is the body of a size in millimetres, from low to high. The two differ
// where the point system is not known (American to Didot) or the lists conflict
// on an old name; both are 0 for a size that says nothing.
func BodyMm(size *pb.TypeSize) (low, high float64) {
	switch {
	case size == nil:
		return 0, 0
	case size.Lines != nil:
		return size.GetLines() * PicaMm, size.GetLines() * PicaMm
	case size.Points != nil:
		low, high = pointMm(size)
		return size.GetPoints() * low, size.GetPoints() * high
	}
	n, _ := OldNameOf(size.GetOldName())
	for i, p := range n.Points {
		if mm := p * PointMm; i == 0 {
			low, high = mm, mm
		} else {
			low, high = min(low, mm), max(high, mm)
		}
	}
	return low, high
}

// pointMm is the point a size is in. An old name is an American or English
// body; otherwise an unnamed system may be either.
func pointMm(size *pb.TypeSize) (low, high float64) {
	switch size.GetSystem() {
	case pb.PointSystem_POINT_SYSTEM_AMERICAN:
		return PointMm, PointMm
	case pb.PointSystem_POINT_SYSTEM_DIDOT:
		return DidotPointMm, DidotPointMm
	case pb.PointSystem_POINT_SYSTEM_DESKTOP:
		return DesktopPointMm, DesktopPointMm
	}
	if size.GetOldName() != "" {
		return PointMm, PointMm
	}
	return PointMm, DidotPointMm
}

// FormatTypeSize shows a body size as the trade says it: "24 pt", "24 pt Didot",
// "12 line", "great primer (18 pt)". Nothing is shown for nil.
func FormatTypeSize(size *pb.TypeSize) string {
	var text string
	switch {
	case size == nil:
		return ""
	case size.Lines != nil:
		text = trimmed(size.GetLines(), 3) + " line"
	case size.Points != nil:
		text = strings.TrimSpace(trimmed(size.GetPoints(), 3) + " pt " + systemName(size.GetSystem()))
	}
	switch {
	case size.GetOldName() == "":
		return text
	case text == "":
		return size.GetOldName()
	}
	return size.GetOldName() + " (" + text + ")"
}

func systemName(s pb.PointSystem) string {
	switch s {
	case pb.PointSystem_POINT_SYSTEM_AMERICAN:
		return "American"
	case pb.PointSystem_POINT_SYSTEM_DIDOT:
		return "Didot"
	case pb.PointSystem_POINT_SYSTEM_DESKTOP:
		return "desktop"
	}
	return ""
}
