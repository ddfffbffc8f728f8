package trade

import (
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"
)

func TestCanPrint(t *testing.T) {
	jobber := press(pb.Class_CLASS_PLATEN_JOBBER, &pb.PressDetail{Chase: rect(12, 18)})
	proof := press(pb.Class_CLASS_CYLINDER_PROOF_PRESS, &pb.PressDetail{Bed: rect(15, 28)})
	proofSheet := press(pb.Class_CLASS_CYLINDER_PROOF_PRESS, &pb.PressDetail{Bed: rect(15, 28), Sheet: rect(14, 18)})
	hand := press(pb.Class_CLASS_HAND_PRESS, &pb.PressDetail{Platen: rect(18, 24), Bed: rect(20, 27)})
	handBed := press(pb.Class_CLASS_HAND_PRESS, &pb.PressDetail{Bed: rect(20, 30)})
	galley := press(pb.Class_CLASS_GALLEY_PROOF_PRESS, &pb.PressDetail{Bed: rect(9, 24)})
	nipping := press(pb.Class_CLASS_NIPPING_PRESS, &pb.PressDetail{Platen: rect(10, 12)})
	for _, c := range []struct {
		lot   *pb.Lot
		sheet *pb.Rectangle
		want  Answer
		says  string
	}{
		{jobber, rect(12, 18), Yes, "a sheet of 12 x 18 in (304.8 x 457.2 mm) goes into its chase of 12 x 18 in (304.8 x 457.2 mm)"},
		{jobber, rect(18, 12), Yes, "goes into its chase"},
		{jobber, &pb.Rectangle{WidthMm: 305.5, HeightMm: 457}, Yes, "goes into its chase"},
		{jobber, rect(12, 19), No, "larger than its chase"},
		{jobber, rect(13, 13), No, "larger than its chase"},
		{press(pb.Class_CLASS_PLATEN_JOBBER, nil), rect(5, 5), Unknown, "the inside of the chase"},
		{press(0, nil), rect(5, 5), Unknown, "the inside of the chase, or the bed"},
		{press(0, &pb.PressDetail{Chase: rect(10, 15)}), rect(10, 15), Yes, "chase"},
		{press(0, &pb.PressDetail{Platen: rect(10, 15)}), rect(10, 15), Yes, "platen"},
		{press(0, &pb.PressDetail{Bed: rect(10, 15)}), rect(10, 15), Unknown, "bed"},
		{proofSheet, rect(14, 18), Yes, "goes into its largest sheet of 14 x 18 in (355.6"},
		{proofSheet, rect(15, 18), No, "larger than its largest sheet"},
		{proof, rect(15, 16), Yes, "goes into its bed"},
		{proof, rect(12, 18), Unknown, "ask for the largest sheet"},
		{proof, rect(16, 16), No, "larger than its bed"},
		{proof, rect(12, 29), No, "larger than its bed"},
		{press(pb.Class_CLASS_CYLINDER_PROOF_PRESS, nil), rect(5, 5), Unknown, "the bed and the largest sheet"},
		{hand, rect(18, 24), Yes, "platen"},
		{hand, rect(19, 24), No, "larger than its platen"},
		{handBed, rect(18, 18), Yes, "bed"},
		{handBed, rect(18, 24), Unknown, "ask for the largest sheet"},
		{press(pb.Class_CLASS_HAND_PRESS, nil), rect(5, 5), Unknown, "the size of the platen"},
		{galley, rect(9, 24), Yes, "bed"},
		{nipping, rect(5, 5), No, "does not print"},
		{metal(nil), rect(5, 5), No, "not a press"},
		{jobber, nil, Unknown, "no sheet"},
		{jobber, &pb.Rectangle{WidthMm: -1, HeightMm: 5}, Unknown, "no sheet"},
	} {
		if got, why := CanPrint(c.lot, c.sheet); got != c.want || !strings.Contains(why, c.says) {
			t.Errorf("%v of %v: %v, %q, want %v, %q", c.sheet, c.lot, got, why, c.want, c.says)
		}
	}
}

func TestAnswerWords(t *testing.T) {
	if Yes.String() != "yes" || No.String() != "no" || Unknown.String() != "unknown" {
		t.Errorf("the answers are %v, %v and %v", Yes, No, Unknown)
	}
}

func TestCanPrintForme(t *testing.T) {
	jobber := press(pb.Class_CLASS_PLATEN_JOBBER, &pb.PressDetail{Chase: rect(12, 18)})
	for _, c := range []struct {
		forme *pb.Rectangle
		want  Answer
	}{{rect(11, 17), Yes}, {rect(17, 11), Yes}, {rect(12, 18), No}, {rect(11.5, 17), No}, {nil, Unknown}} {
		if got, why := CanPrintForme(jobber, c.forme); got != c.want {
			t.Errorf("a forme of %v: %v, %s", c.forme, got, why)
		}
	}
	if _, why := CanPrintForme(jobber, rect(12, 18)); !strings.HasPrefix(why, "with half an inch about the forme, ") {
		t.Errorf("got %q", why)
	}
}

// TestSmallerPrintsNoWorse: a sheet that is turned gets the same answer, and one
// that is smaller never a worse one.
func TestSmallerPrintsNoWorse(t *testing.T) {
	rank := map[Answer]int{No: 0, Unknown: 1, Yes: 2}
	side := rapid.Float64Range(1, 1000)
	r := rapid.Custom(func(t *rapid.T) *pb.Rectangle {
		return &pb.Rectangle{WidthMm: side.Draw(t, "w"), HeightMm: side.Draw(t, "h")}
	})
	maybe := rapid.Custom(func(t *rapid.T) *pb.Rectangle {
		if rapid.Bool().Draw(t, "known") {
			return r.Draw(t, "r")
		}
		return nil
	})
	rapid.Check(t, func(t *rapid.T) {
		lot := press(rapid.SampledFrom(ClassesOf(pb.Kind_KIND_PRESS)).Draw(t, "class"), &pb.PressDetail{
			Chase: maybe.Draw(t, "chase"), Bed: maybe.Draw(t, "bed"), Platen: maybe.Draw(t, "platen"), Sheet: maybe.Draw(t, "sheet"),
		})
		sheet := r.Draw(t, "paper")
		got, _ := CanPrint(lot, sheet)
		turned, _ := CanPrint(lot, &pb.Rectangle{WidthMm: sheet.HeightMm, HeightMm: sheet.WidthMm})
		less := proto.CloneOf(sheet)
		less.WidthMm *= rapid.Float64Range(0.1, 1).Draw(t, "less")
		smaller, _ := CanPrint(lot, less)
		if turned != got || rank[smaller] < rank[got] {
			t.Fatalf("%v of %v: %v, turned %v, smaller (%v) %v", sheet, lot, got, turned, less, smaller)
		}
	})
}

func TestHeights(t *testing.T) {
	for mm, want := range map[float64]string{23.32: "United States", 23.56: "France", 23.70: "Belgium", 24.85: "Netherlands", 24.80: "Netherlands"} {
		near := HeightNear(mm)
		if len(near) == 0 || !strings.HasPrefix(near[0].Where, want) {
			t.Errorf("%v mm is taken for %v, want %s", mm, near, want)
		}
	}
	if near := HeightNear(25.1); len(near) != 0 {
		t.Errorf("25.1 mm has to be measured, not named: %v", near)
	}
	if near := HeightNear(24.0); len(near) != 0 {
		t.Errorf("24 mm is taken for %v", near)
	}
	for _, c := range []struct {
		a, b     float64
		together bool
		says     string
	}{
		{USHeightMm, 23.317, true, "the same"},
		{USHeightMm, 23.57, false, "underlay the lower"},
		{23.57, USHeightMm, false, "never print the higher on a press set for the lower"},
		{USHeightMm, 0, false, "measure both"},
	} {
		if together, advice := PrintTogether(c.a, c.b); together != c.together || !strings.Contains(advice, c.says) {
			t.Errorf("%v with %v: %v, %q", c.a, c.b, together, advice)
		}
	}
}

func TestOldNames(t *testing.T) {
	if got := OldNamesFor(12); len(got) != 1 || got[0] != "pica" {
		t.Errorf("12 pt is called %v", got)
	}
	if got := OldNamesFor(48); len(got) != 2 || got[0] != "four-line pica" || got[1] != "canon" {
		t.Errorf("48 pt is called %v, want the sure name first", got)
	}
	if got := OldNamesFor(13); got != nil {
		t.Errorf("13 pt is called %v", got)
	}
	for _, n := range OldNames() {
		if got, ok := OldNameOf(strings.ToUpper(n.Name)); !ok || got.Name != n.Name {
			t.Errorf("%q is found as %v", n.Name, got)
		}
	}
}

func TestBodyMm(t *testing.T) {
	for _, c := range []struct {
		size      *pb.TypeSize
		low, high float64
	}{
		{points1(12, pb.PointSystem_POINT_SYSTEM_AMERICAN, ""), 12 * PointMm, 12 * PointMm},
		{points1(12, pb.PointSystem_POINT_SYSTEM_DIDOT, ""), CiceroMm, CiceroMm},
		{points1(72, pb.PointSystem_POINT_SYSTEM_DESKTOP, ""), MmPerInch, MmPerInch},
		{points1(12, 0, ""), 12 * PointMm, CiceroMm},
		{points1(18, 0, "great primer"), 18 * PointMm, 18 * PointMm},
		{lines1(10), 10 * PicaMm, 10 * PicaMm},
		{&pb.TypeSize{OldName: "canon"}, 44 * PointMm, 48 * PointMm},
		{&pb.TypeSize{OldName: "brilliant"}, 3 * PointMm, 3.5 * PointMm},
		{&pb.TypeSize{}, 0, 0}, {nil, 0, 0},
	} {
		if low, high := BodyMm(c.size); !near(low, c.low) || !near(high, c.high) {
			t.Errorf("the body of %v is %v to %v mm, want %v to %v", c.size, low, high, c.low, c.high)
		}
	}
}
