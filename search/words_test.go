package search

import (
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// An operator's rules join those of the program, in searches, in alerts and in
// the name of the index; taken back, all is as before.
func TestExtendVocabulary(t *testing.T) {
	t.Cleanup(func() {
		if err := ExtendVocabulary(""); err != nil {
			t.Error(err)
		}
	})
	lot := &pb.Lot{Title: "Corwen KR15", State: pb.LotState_LOT_STATE_OFFERED}
	finds := func(words string) bool {
		ok, _ := Matches(wordsAlone(words), lot)
		return ok
	}
	before := signature()
	if finds("old faithful") {
		t.Fatal("found before there is a rule for it")
	}
	if err := ExtendVocabulary("# Ours.\nalso corwen kr > old faithful\nfold crwn = corwen\n"); err != nil {
		t.Fatal(err)
	}
	if !finds("old faithful") || !finds("CRWN kr-15") || !finds("corwen") {
		t.Error("the operator's rules find nothing")
	}
	if signature() == before {
		t.Error("an index made by other rules has the same name")
	}
	err := ExtendVocabulary("fold a, b = c\ntwist a = b")
	if err == nil || !strings.Contains(err.Error(), "line 2") || !strings.Contains(err.Error(), "operator") {
		t.Errorf("%v does not name the operator's line 2", err)
	}
	if !finds("old faithful") {
		t.Error("rules that could not be read took the place of those that could")
	}
	if err := ExtendVocabulary(""); err != nil || finds("old faithful") || signature() != before {
		t.Errorf("taken back: %v", err)
	}
}

// Sizes meet in any unit, and old founts by their names.
func TestSizesMeet(t *testing.T) {
	wood := func(lines float64, text string) *pb.Lot {
		lot := &pb.Lot{Title: text, Kind: pb.Kind_KIND_WOOD_TYPE, State: pb.LotState_LOT_STATE_OFFERED}
		if lines > 0 {
			lot.Detail = &pb.Lot_WoodType{WoodType: &pb.WoodTypeDetail{Size: &pb.TypeSize{Lines: &lines}}}
		}
		return lot
	}
	metal := func(points float64, text string) *pb.Lot {
		lot := &pb.Lot{Title: text, Kind: pb.Kind_KIND_METAL_TYPE, State: pb.LotState_LOT_STATE_OFFERED}
		if points > 0 {
			lot.Detail = &pb.Lot_MetalType{MetalType: &pb.MetalTypeDetail{Size: &pb.TypeSize{Points: &points}}}
		}
		return lot
	}
	press := &pb.Lot{Title: "Corwen", Kind: pb.Kind_KIND_PRESS, State: pb.LotState_LOT_STATE_OFFERED,
		Detail: &pb.Lot_Press{Press: &pb.PressDetail{Chase: &pb.Rectangle{WidthMm: 254, HeightMm: 381}}}}
	cases := []struct {
		lot    *pb.Lot
		words  string
		wanted bool
	}{
		{wood(60, "Gothic"), "10 inch wood letters", true}, {wood(60, "Gothic"), "254 mm", true}, {wood(60, "Gothic"), "25.4 cm", true}, {wood(60, "Gothic"), "60 pica", true}, {wood(60, "Gothic"), "60", true},
		{wood(60, "Gothic"), "9 inch", false}, {wood(60, "Gothic"), "11 inch", false},
		{wood(6, "Gothic"), "1 inch", true}, {wood(6, "Gothic"), "72 pt", true}, {wood(6, "Gothic"), "2 inch", false},
		{wood(0, "Ten-inch letters"), "60 line", true}, {wood(0, "Letters 254 mm high"), "60 line", true}, {wood(0, "Ten-inch letters"), "12 line", false},
		{metal(18, "Gothic"), "great primer", true}, {metal(0, "Great primer"), "18 pt", true}, {metal(0, "Great primer"), "24 pt", false},
		{metal(14, "Gothic"), "english", true}, {metal(0, "English roman"), "14 pt", true}, {metal(0, "Old English"), "14 pt", false}, {metal(12, "English"), "14 pt", false},
		{metal(44, "Gothic"), "canon", true}, {metal(72, "Gothic"), "6 line", true}, {metal(0, "Canon roman"), "48pt", true},
		{press, "10x15", true}, {press, "381 x 254 mm", true}, {press, "8x12", false},
	}
	for _, c := range cases {
		if ok, _ := Matches(wordsAlone(c.words), c.lot); ok != c.wanted {
			t.Errorf("%q finds %q: %v", c.words, c.lot.Title, ok)
		}
	}
}
