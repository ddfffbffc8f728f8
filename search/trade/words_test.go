package trade

import (
	"slices"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
)

func TestParseKind(t *testing.T) {
	for text, want := range map[string]pb.Kind{
		"press": pb.Kind_KIND_PRESS, "Presses": pb.Kind_KIND_PRESS, "type": pb.Kind_KIND_METAL_TYPE, "founts": pb.Kind_KIND_METAL_TYPE, "fonts": pb.Kind_KIND_METAL_TYPE,
		"wooden type": pb.Kind_KIND_WOOD_TYPE, "wood-type": pb.Kind_KIND_WOOD_TYPE, "blocks": pb.Kind_KIND_CUTS, "dingbats": pb.Kind_KIND_ORNAMENTS, "printer's flowers": pb.Kind_KIND_ORNAMENTS,
		"leads & slugs": pb.Kind_KIND_SPACING, "furniture": pb.Kind_KIND_SPACING, "type cases": pb.Kind_KIND_CABINETS, "galleys": pb.Kind_KIND_CABINETS, "imposing stone": pb.Kind_KIND_STONES,
		"guillotine": pb.Kind_KIND_CUTTERS, "matrices": pb.Kind_KIND_CASTERS, "bookbinding": pb.Kind_KIND_BINDERY, "binderies": pb.Kind_KIND_BINDERY, "quoin keys": pb.Kind_KIND_TOOLS, "misc": pb.Kind_KIND_OTHER, "folding boxes": 0, "boxes": 0, "brushes": 0,
	} {
		if got, err := ParseKind(text); (err == nil) != (want != 0) || got != want {
			t.Errorf("ParseKind(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
	for text, says := range map[string]string{"pres": "did you mean press?", "metel type": "did you mean metal type?", "bananas": "write one of press, metal type", "": "write one of press"} {
		got, err := ParseKind(text)
		if got != pb.Kind_KIND_UNSPECIFIED {
			t.Errorf("ParseKind(%q) = %v with an error", text, got)
		}
		refused(t, text, err, says)
	}
}

func TestParseClass(t *testing.T) {
	for text, want := range map[string]pb.Class{
		"platen jobber": pb.Class_CLASS_PLATEN_JOBBER, "Jobbers": pb.Class_CLASS_PLATEN_JOBBER, "treadle press": pb.Class_CLASS_PLATEN_JOBBER, "clamshell": pb.Class_CLASS_PLATEN_JOBBER,
		"hobby press": pb.Class_CLASS_TABLETOP_PLATEN, "iron hand press": pb.Class_CLASS_HAND_PRESS, "galley press": pb.Class_CLASS_GALLEY_PROOF_PRESS, "proof press": pb.Class_CLASS_CYLINDER_PROOF_PRESS,
		"stop-cylinder": pb.Class_CLASS_CYLINDER_PRESS, "two-rev": pb.Class_CLASS_TWO_REVOLUTION_PRESS, "standing press": pb.Class_CLASS_NIPPING_PRESS, "guillotine, power": 0,
		"slug caster": pb.Class_CLASS_LINE_CASTER, "cabinet": pb.Class_CLASS_TYPE_CABINET, "job cases": pb.Class_CLASS_TYPE_CASE, "marble": pb.Class_CLASS_IMPOSING_STONE,
	} {
		got, err := ParseClass(text)
		if got != want || (err == nil) != (want != 0) {
			t.Errorf("ParseClass(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
	_, err := ParseClass("platten")
	refused(t, "platten", err, "did you mean platen jobber?")
	_, err = ParseState("lost")
	refused(t, "lost", err, "draft, proofed, offered")
}

// TestNamingIsSound: every kind and class of the contract has a word, no word
// means two things, and every class belongs to a kind.
func TestNamingIsSound(t *testing.T) {
	if len(Kinds()) != len(pb.Kind_name)-1 || len(Classes()) != len(pb.Class_name)-1 {
		t.Errorf("%d kinds and %d classes have words", len(Kinds()), len(Classes()))
	}
	distinct(t, kindNames)
	distinct(t, classNames)
	distinct(t, conditionNames)
	distinct(t, stateNames)
	for _, c := range Classes() {
		if KindOf(c) == pb.Kind_KIND_UNSPECIFIED || !slices.Contains(ClassesOf(KindOf(c)), c) {
			t.Errorf("%v is of no kind", c)
		}
	}
	if KindOf(0) != 0 || KindOf(99) != 0 || KindWord(0) != "" || ClassWord(99) != "" || ClassesOf(pb.Kind_KIND_CUTS) != nil {
		t.Error("what is not said has a word")
	}
}

func distinct[T comparable](t *testing.T, names []naming[T]) {
	t.Helper()
	seen := map[string]T{}
	for _, n := range names {
		for _, w := range append([]string{n.word}, n.also...) {
			if other, ok := seen[folded(w)]; ok && other != n.is {
				t.Errorf("%q means %v and %v", w, other, n.is)
			}
			seen[folded(w)] = n.is
		}
	}
}

func TestParseCondition(t *testing.T) {
	const working, care, repair = pb.Condition_CONDITION_WORKING, pb.Condition_CONDITION_NEEDS_CARE, pb.Condition_CONDITION_NEEDS_REPAIR
	for text, want := range map[string]struct {
		is   pb.Condition
		note string
	}{
		"working": {working, ""}, "Good": {working, ""}, "good, one roller worn": {working, "good, one roller worn"}, "working order but dusty": {working, "working order but dusty"},
		"needs rollers": {care, ""}, "fair (rusty bed)": {care, "fair (rusty bed)"}, "cracked": {repair, ""}, "not working": {repair, ""}, "worn - see photograph": {repair, "worn - see photograph"},
		"for parts": {pb.Condition_CONDITION_FOR_PARTS, ""}, "": {0, ""}, "lovely": {0, "lovely"}, "not good": {0, "not good"}, "never worked": {0, "never worked"},
	} {
		if is, note := ParseCondition(text); is != want.is || note != want.note {
			t.Errorf("ParseCondition(%q) = %v, %q, want %v, %q", text, is, note, want.is, want.note)
		}
	}
}

func TestParseParts(t *testing.T) {
	complete := &pb.Parts{RestComplete: true}
	for text, want := range map[string]*pb.Parts{
		"": nil, "  ": nil, "?": nil, "unknown": nil, "not checked": nil, "don't know": nil, ", ;": nil,
		"none": complete, "Nothing": complete, "complete": complete, "nothing missing.": complete,
		"rollers": {Missing: []string{"rollers"}}, "rollers, chase": {Missing: []string{"rollers", "chase"}}, "Rollers; one chase and the throw-off.": {Missing: []string{"Rollers", "one chase", "the throw-off"}},
		"K, J": {Missing: []string{"K", "J"}},
	} {
		if got := ParseParts(text); !proto.Equal(got, want) || (got == nil) != (want == nil) {
			t.Errorf("ParseParts(%q) = %v, want %v", text, got, want)
		}
	}
}

func TestFold(t *testing.T) {
	if FoldTag("P 3") != FoldTag(" p3 ") || FoldTitle("The  Old\tShop") != FoldTitle("the old shop") || FoldTitle("a b") == FoldTitle("ab") {
		t.Error("tags and titles that are the same do not fold to the same")
	}
}

func TestParseErrorIsOneSentence(t *testing.T) {
	_, err := ParseRectangle("10xx15")
	if want := `"10xx15" is not a size: write it as 10x15 (inches), 10 x 15 in or 254x381 mm`; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if strings.Contains(err.Error(), "\n") {
		t.Error("an error is one line")
	}
}

func TestValueWord(t *testing.T) {
	for want, got := range map[string]string{
		"line shaft": ValueWord("DRIVE_", pb.Drive_DRIVE_LINE_SHAFT),
		"":           ValueWord("DRIVE_", pb.Drive_DRIVE_UNSPECIFIED) + ValueWord("SUPPLY_", pb.Drive_DRIVE_LINE_SHAFT),
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
