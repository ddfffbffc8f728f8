package search

import (
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

func TestVocabularyErrors(t *testing.T) {
	for line, want := range map[string]string{
		"fold":                      "says nothing",
		"fold font =":               "says nothing",
		"fold , font = fount":       "empty phrase",
		"also > press":              "says nothing",
		"twist a = b":               "no such rule",
		"class steam_press > press": "CLASS_STEAM_PRESS",
		"kind presses > press":      "KIND_PRESSES",
		"same cut, , block":         "empty phrase",
	} {
		_, err := parseVocabulary("# a comment\n\n" + line + "\n")
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "line 3") {
			t.Errorf("%q: %v, which names neither %q nor line 3", line, err, want)
		}
	}
}

// Every class of press can be found by its own name and as a press.
func TestEveryClassHasWords(t *testing.T) {
	for number, name := range pb.Class_name {
		if number != 0 && len(theVocabulary().classes[pb.Class(number)]) == 0 {
			t.Errorf("%s has no words", name)
		}
	}
}

// Names of the same thing find it whichever the lot has; broader words find
// the narrower thing, and not the other way round.
func TestTradeForms(t *testing.T) {
	press := func(class pb.Class, title string) *pb.Lot {
		return &pb.Lot{State: pb.LotState_LOT_STATE_OFFERED, Kind: pb.Kind_KIND_PRESS, Class: class, Title: title}
	}
	titled := func(title string) *pb.Lot { return &pb.Lot{State: pb.LotState_LOT_STATE_OFFERED, Title: title} }
	treadle := press(pb.Class_CLASS_PLATEN_JOBBER, "Corwen KR15")
	treadle.Detail = &pb.Lot_Press{Press: &pb.PressDetail{Drive: pb.Drive_DRIVE_TREADLE}}
	eighteen := 18.0
	type18 := &pb.Lot{State: pb.LotState_LOT_STATE_OFFERED, Kind: pb.Kind_KIND_METAL_TYPE, Title: "Corwen Gothic",
		Detail: &pb.Lot_MetalType{MetalType: &pb.MetalTypeDetail{Size: &pb.TypeSize{Points: &eighteen, OldName: "great primer"}}}}
	cases := []struct {
		lot    *pb.Lot
		words  string
		wanted bool
	}{
		{press(pb.Class_CLASS_PLATEN_JOBBER, "Corwen KR15"), "platen press", true},
		{press(pb.Class_CLASS_PLATEN_JOBBER, "Corwen KR15"), "jobbers", true},
		{press(pb.Class_CLASS_PLATEN_JOBBER, "Corwen KR15"), "treadle", false},
		{press(pb.Class_CLASS_PLATEN_JOBBER, "Corwen KR15"), "proof press", false},
		{treadle, "treadle press", true},
		{press(pb.Class_CLASS_CYLINDER_PROOF_PRESS, "No. 4"), "proof press", true},
		{titled("Box of fleurons"), "ornaments", true},
		{titled("Box of dingbats"), "printer's flower", true},
		{titled("Engraving of a mill"), "cuts", true},
		{titled("Clamshell, 10x15"), "jobber", true},
		{titled("Jobber, 10x15"), "clamshell", false},
		{titled("Guillotine"), "paper cutter", true},
		{titled("Zinc of a mill"), "cut", true},
		{titled("Cut of a mill"), "zinc", false},
		{titled("Linecaster"), "line caster", true},
		{titled("Fount of Corwen"), "fonts", true},
		{type18, "18pt", true}, {type18, "great primer", true}, {type18, "24pt", false}, {type18, "type", true},
	}
	for _, c := range cases {
		if ok, _ := Matches(&pb.LotFilter{Words: c.words}, c.lot); ok != c.wanted {
			t.Errorf("%q finds %q (%s): %v", c.words, c.lot.Title, c.lot.Class, ok)
		}
	}
}
