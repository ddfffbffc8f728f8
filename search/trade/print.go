package trade

import (
	"fmt"
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

// Answer is the answer to a question that may have none.
type Answer int

// The answers.
const (
	// Unknown is for what nobody has said.
	Unknown Answer = iota
	// Yes is yes.
	Yes
	// No is no.
	No
)

// String is the answer in a word.
func (a Answer) String() string { return [...]string{"unknown", "yes", "no"}[a] }

const (
	// MarginMm is the white a sheet is reckoned to have on every side: half an
	// inch, which the grippers need too. Common practice.
	MarginMm = MmPerInch / 2
	// LockUpMm is what furniture and quoins take on every side of a forme: half
	// an inch. Common practice.
	LockUpMm = MmPerInch / 2
	// slackMm is how much larger than the space a sheet may be and still go:
	// nobody measures an inch to the hair.
	slackMm = 1
	// sureLength is the share of a cylinder proof press's bed that a sheet may
	// be long without anybody having to ask: part of the bed is lead-in and
	// gripper. A design choice.
	sureLength = 0.6
)

// CanPrint tells whether a press prints a sheet, either way round, and why.
//
// A sheet has margins of MarginMm and a forme is locked up in LockUpMm, so a
// platen press takes a sheet as large as the inside of its chase, and a hand
// press one as large as its platen. A press whose largest sheet is known takes
// that. Of a cylinder press of which only the bed is known, a sheet that is wider
// or longer than the bed does not go; a long one, above 0.6 of the bed, is
// unknown. What is not a press prints nothing.
func CanPrint(lot *pb.Lot, sheet *pb.Rectangle) (Answer, string) {
	switch {
	case lot.GetKind() != pb.Kind_KIND_PRESS:
		return No, "it is not a press"
	case lot.GetClass() == pb.Class_CLASS_NIPPING_PRESS:
		return No, "a nipping press does not print"
	case !validRectangle(sheet):
		return Unknown, "no sheet was given"
	}
	space, name, sure := printSpace(lot)
	answer := spaceOf(space, sure).Takes(sheet)
	switch {
	case space == nil:
		return answer, "its size is not known: ask for " + askedSize(lot.GetClass())
	case answer == No:
		return answer, fmt.Sprintf("a sheet of %s is larger than %s", both(sheet), sized(name, space))
	case answer == Yes:
		return answer, fmt.Sprintf("a sheet of %s goes into %s", both(sheet), sized(name, space))
	}
	return answer, fmt.Sprintf("a sheet of %s goes on %s, but not all of a bed prints: ask for the largest sheet", both(sheet), sized(name, space))
}

// PrintSpace is what a sheet has to go into to be printed, without the words:
// for whoever asks of many presses.
type PrintSpace struct {
	// Prints is false for what is no press, and for a press that does not print.
	Prints bool
	// Known tells whether the sides are.
	Known bool
	// Sure tells whether all of the space is good for printing.
	Sure bool
	// ShortMm and LongMm are the sides.
	ShortMm, LongMm float64
}

// SpaceOf is the space of a lot.
func SpaceOf(lot *pb.Lot) PrintSpace {
	if lot.GetKind() != pb.Kind_KIND_PRESS || lot.GetClass() == pb.Class_CLASS_NIPPING_PRESS {
		return PrintSpace{}
	}
	space, _, sure := printSpace(lot)
	return spaceOf(space, sure)
}

func spaceOf(space *pb.Rectangle, sure bool) PrintSpace {
	if space == nil {
		return PrintSpace{Prints: true}
	}
	s := PrintSpace{Prints: true, Known: true, Sure: sure}
	s.ShortMm, s.LongMm = sides(space)
	return s
}

// Takes tells whether a sheet goes into the space: the answer of CanPrint.
func (s PrintSpace) Takes(sheet *pb.Rectangle) Answer {
	switch {
	case !s.Prints:
		return No
	case !s.Known || !validRectangle(sheet):
		return Unknown
	case !s.holds(sheet, 1):
		return No
	case s.Sure || s.holds(sheet, sureLength):
		return Yes
	}
	return Unknown
}

// holds tells whether a sheet goes into a space, of whose longer side only a
// share may be used, one way round or the other.
func (s PrintSpace) holds(sheet *pb.Rectangle, share float64) bool {
	w, h := sides(sheet)
	goes := func(across, along float64) bool {
		return across <= s.ShortMm+slackMm && along <= float64(s.LongMm*share)+slackMm
	}
	return goes(w, h) || goes(h, w)
}

// CanPrintForme tells the same of a forme of type: it needs LockUpMm on every
// side within the chase or on the bed. It may not be more than the largest sheet
// less its margins, where that is known.
func CanPrintForme(lot *pb.Lot, forme *pb.Rectangle) (Answer, string) {
	if !validRectangle(forme) {
		return Unknown, "no forme was given"
	}
	answer, why := CanPrint(lot, &pb.Rectangle{WidthMm: forme.GetWidthMm() + 2*MarginMm, HeightMm: forme.GetHeightMm() + 2*MarginMm})
	return answer, "with half an inch about the forme, " + why
}

// both shows two sides in inches and in millimetres.
func both(r *pb.Rectangle) string {
	return FormatRectangle(r, US) + " (" + FormatRectangle(r, Metric) + ")"
}

func sized(name string, r *pb.Rectangle) string { return "its " + name + " of " + both(r) }

// printSpace is what a sheet has to go into, and whether all of it is good for
// printing.
func printSpace(lot *pb.Lot) (space *pb.Rectangle, name string, sure bool) {
	p := lot.GetPress()
	switch c := lot.GetClass(); {
	case validRectangle(p.GetSheet()):
		return p.GetSheet(), "largest sheet", true
	case slices.Contains(platens, c):
		return firstOf(p.GetChase()), "chase", true
	case c == pb.Class_CLASS_HAND_PRESS && validRectangle(p.GetPlaten()):
		return p.GetPlaten(), "platen", true
	case c == pb.Class_CLASS_GALLEY_PROOF_PRESS, c == pb.Class_CLASS_ETCHING_PRESS:
		return firstOf(p.GetBed()), "bed", true
	case c == pb.Class_CLASS_UNSPECIFIED && validRectangle(p.GetChase()):
		return p.GetChase(), "chase", true
	case c == pb.Class_CLASS_UNSPECIFIED && validRectangle(p.GetPlaten()):
		return p.GetPlaten(), "platen", true
	}
	return firstOf(p.GetBed()), "bed", false
}

func sides(r *pb.Rectangle) (short, long float64) {
	return min(r.GetWidthMm(), r.GetHeightMm()), max(r.GetWidthMm(), r.GetHeightMm())
}

// askedSize is what to ask the keeper of a press for, in plain words.
func askedSize(c pb.Class) string {
	switch {
	case slices.Contains(platens, c):
		return "the inside of the chase (the iron frame that holds the type)"
	case c == pb.Class_CLASS_HAND_PRESS:
		return "the size of the platen (the plate that comes down)"
	case c == pb.Class_CLASS_UNSPECIFIED:
		return "the inside of the chase, or the bed"
	}
	return "the bed and the largest sheet it takes"
}
