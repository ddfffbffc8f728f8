package sheet

import (
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

func TestYAMLLotErrors(t *testing.T) {
	cases := []struct{ about, lot, want string }{
		{"a slip in a key", "{title: x, weigth: 5 lb}", "line 2, key weigth: there is no such key here: did you mean weight?"},
		{"a key like no other", "{title: x, wombat: 5 lb}", "line 2, key wombat: there is no such key here; there are tag, kind, class, title, "},
		{"a key twice", "{title: x, Title: y}", "line 2, key Title: is here twice, first in line 2: keep one"},
		{"no title", "{kind: press}", "line 2, key title: is missing: "},
		{"a text for a lot", "Old press", "line 2: write keys here, each with its value, as tag: …"},
		{"a list for a text", "{title: [x, y]}", "line 2, key title: write one value here, not several"},
		{"a mapping for a list", "{title: x, missing: {rollers: 2}}", "line 2, key missing: write one value or a list"},
		{"an empty list", "{title: x, missing: []}", "line 2, key missing: write one value or a list"},
		{"a list of lists", "{title: x, missing: [[rollers]]}", "line 2, key missing: every item of the list must be a text"},
		{"another kind's key", "{title: x, kind: wood type, chase: 10x15}", "line 2, key chase: is a key of press, and the kind of this lot is wood type"},
		{"a wrong word", "{title: x, kind: press, drive: steam}", `line 2, key drive: "steam" is not one of hand, treadle, motor, line shaft`},
		{"a wrong chase", "{title: x, kind: press, chase: big}", `line 2, key chase: "big" is not a size`},
		{"a wrong piece", "{title: x, kind: press, heaviest_piece: 100-200 lb}", `line 2, key heaviest_piece: "100-200 lb" is a range: write one figure`},
		{"a wrong body", "{title: x, kind: wood type, body: tall}", `line 2, key body: "tall" is not a type size`},
		{"a wrong area", "{title: x, kind: metal type, area: much}", `line 2, key area: "much" is not an area: write it as 54 sq in or 350 cm2`},
		{"cases of nothing", "{title: x, kind: metal type, cases: few}", `line 2, key cases: "few" is not a number from 0 to`},
		{"a bill that is none", "{title: x, kind: wood type, bill: 3A}", `line 2, key bill: "3A" is not a bill`},
		{"a wrong count in a bill", "{title: x, kind: wood type, bill: {A: 3, B: some}}", `line 2, key bill: "some" is not a count`},
		{"a sort twice", "{title: x, kind: wood type, bill: {A: 3, A: 2}}", "line 2, key bill: the sort A is here twice: add them up"},
		{"a sort that is none", "{title: x, kind: wood type, bill: {\"\": 3}}", "line 2, key bill: a sort is a character or a word"},
		{"an unknown state", "{title: x, state: lost}", `line 2, key state: "lost" is not a state`},
		{"an unknown day", "{title: x, clear_by: soon}", `line 2, key clear_by: "soon" is not a day`},
		{"neither yes nor no", "{title: x, rest_complete: mostly}", `line 2, key rest_complete: "mostly" is neither yes nor no`},
		{"half a range", "{title: x, weight: {low: 5 lb}}", "line 2, key weight: a range needs both low and high"},
		{"no figure", "{title: x, weight: {grounds: measured}}", "line 2, key weight: give its mass, or low and high"},
		{"a range the wrong way", "{title: x, weight: {low: 9 lb, high: 5 lb}}", "line 2, key weight: low is more than high"},
		{"a figure out of its range", "{title: x, weight: {mass: 10 lb, low: 5 lb, high: 9 lb}}", "line 2, key weight: mass is not between low and high"},
		{"a wrong weight", "{title: x, weight: {mass: heavy}}", `line 2, key mass: "heavy" is not a weight`},
		{"unsaid grounds", "{title: x, weight: {mass: 1 lb, grounds: hearsay}}", `line 2, key grounds: "hearsay" is not one of measured, stated, estimated`},
		{"a long note", "{title: x, condition: working, condition_note: " + strings.Repeat("x", 2001) + "}", "line 2, key condition_note: is 2001 characters long: at most 2000 will do"},
		{"a long condition", "{title: x, condition: " + strings.Repeat("x", 2001) + "}", "line 2, key condition: is 2001 characters long: at most 2000 will do"},
	}
	for _, c := range cases {
		t.Run(c.about, func(t *testing.T) {
			s := readString(t, "x.yaml", "lots:\n- "+c.lot+"\n- title: Another\n")
			wantProblems(t, problemsOf(s), c.want)
			if len(s.Lots) != 1 || s.Lots[0].Lot.GetTitle() != "Another" {
				t.Errorf("the lot beside it is %v", s.Lots)
			}
		})
	}
}

func TestYAMLProblemsNameTheirLines(t *testing.T) {
	s := readString(t, "x.yaml", `lots:
  - tag: P1
    title: Press
  - tag: p 1
    title: Another
    weight: heavy
    kind: wood type
    bill:
      A: 3
      B: few
`)
	wantProblems(t, problemsOf(s),
		"line 6, key weight: ", "line 10, key bill: ", `line 4, key tag: "p 1" is already the tag of line 2`)
	if s.Bad[0].Number != 4 || s.Lots[0].Number != 2 {
		t.Errorf("numbers %d and %d", s.Bad[0].Number, s.Lots[0].Number)
	}
}

func TestYAMLLot(t *testing.T) {
	s := readString(t, "x.yaml", `lots:
  - Tag: P1
    kind: platen jobber
    title: >
      Corwen platen
      jobber
    size: 10x15
    Chase: 10 1/4 x 15 in
    condition: good, one roller worn
    condition_note: Runs quietly.
    missing: [rollers, "bolts, all of them"]
    on_hand: chase and treadle
    rest-complete: yes
    weight: {mass: 1500 lb, low: 1400 lb, high: 1600 lb, grounds: estimated, basis: two men and a bar}
    clear_by: 2027-01-31
    price:
    state: draft
`)
	if len(s.Lots) != 1 {
		t.Fatal(problemsOf(s))
	}
	kg := func(lb float64) *float64 { v := readMassOf(t, lb); return &v }
	want := &pb.Lot{
		Tag: "P1", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER, Title: "Corwen platen jobber",
		SizeAsWritten: "10x15", Condition: pb.Condition_CONDITION_WORKING, ConditionNote: "good, one roller worn\nRuns quietly.",
		Parts:   &pb.Parts{Missing: []string{"rollers", "bolts, all of them"}, OnHand: []string{"chase", "treadle"}, RestComplete: true},
		Weight:  &pb.Weight{MassKg: kg(1500), LowKg: kg(1400), HighKg: kg(1600), Grounds: pb.Grounds_GROUNDS_ESTIMATED, Basis: "two men and a bar"},
		ClearBy: &pb.Date{Year: 2027, Month: 1, Day: 31}, State: pb.LotState_LOT_STATE_DRAFT,
		Detail: &pb.Lot_Press{Press: &pb.PressDetail{Chase: &pb.Rectangle{WidthMm: 260.35, HeightMm: 381}}},
	}
	if got := s.Lots[0].Lot; !proto.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

func readMassOf(t *testing.T, lb float64) float64 {
	t.Helper()
	v, err := readMass(digits(lb) + " lb")
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestRestNotComplete(t *testing.T) {
	l := lotIn(t, "{title: Press, missing: rollers, rest_complete: no}")
	if !proto.Equal(l.GetParts(), &pb.Parts{Missing: []string{"rollers"}}) {
		t.Errorf("parts %v", l.GetParts())
	}
	if l := lotIn(t, "{title: Press, rest_complete: no}"); l.Parts != nil {
		t.Errorf("parts %v", l.GetParts())
	}
}

func TestYAMLWithoutLots(t *testing.T) {
	s := readString(t, "x.yml", "shop:\n  title: Marrowby\nlots:\n")
	if s.Shop.GetTitle() != "Marrowby" || len(s.Lots)+len(s.Bad) != 0 {
		t.Errorf("got %v", s)
	}
}

func TestKindsAndClassesReadBack(t *testing.T) {
	for c, word := range pb.Class_name {
		if c == 0 {
			continue
		}
		l := &pb.Lot{}
		if err := readKind(l, writeKind(&pb.Lot{Class: pb.Class(c)})); err != nil || int32(l.GetClass()) != c {
			t.Errorf("%s reads back as %v: %v", word, l.GetClass(), err)
		}
	}
	for k, word := range pb.Kind_name {
		if k == 0 {
			continue
		}
		l := &pb.Lot{}
		if err := readKind(l, writeKind(&pb.Lot{Kind: pb.Kind(k)})); err != nil || int32(l.GetKind()) != k || l.GetClass() != 0 {
			t.Errorf("%s reads back as %v %v: %v", word, l.GetKind(), l.GetClass(), err)
		}
	}
}

// Every value of the enums of the details has a word.
func TestEnumWords(t *testing.T) {
	check := func(name string, n int, have []int32) {
		for i := 1; i < n; i++ {
			if !slices.Contains(have, int32(i)) {
				t.Errorf("%s %d has no word", name, i)
			}
		}
	}
	check("drive", len(pb.Drive_name), valuesOf(driveWords))
	check("supply", len(pb.Supply_name), valuesOf(supplyWords))
	check("alloy", len(pb.Alloy_name), valuesOf(alloyWords))
}

func valuesOf[E ~int32](words []named[E]) []int32 {
	var all []int32
	for _, w := range words {
		all = append(all, int32(w.is))
	}
	return all
}
