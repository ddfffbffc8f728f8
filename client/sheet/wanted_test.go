package sheet

import (
	"errors"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

func TestReadWanted(t *testing.T) {
	list, err := ReadWanted("w.yaml", strings.NewReader(`
title: Posters
place: Pittsburgh, PA
reach: 300mi
purse: 5000
kit: {people: 2, dolly: 2000 lb, hoist: none, payload: 1 tonne, door: 34 in, steps: 0, floor: 50 psf}
weights: {distance: 1, rigging: 0, completeness: 3.5}
wants:
  - title: A jobber
    kind: platen jobber
    sheet: 12x18 in
    must_have: rollers, throw-off
  - title: Type
    id: type
    kind: [wood type, metal type]
    text_to_set: LANTERN FESTIVAL
    near: Dayton, OH
    max_price: £300
  - title: Near home
    class: [galley proof press, proof press]
    within: 50 mi
  - title: Anywhere
    words: boxwood
    near: Leeds, England
    within: any
    state: offered, promised
    known_only: yes
    importance: 5
`), Currency("CAD"))
	if err != nil {
		t.Fatal(err)
	}
	f := proto.Float64
	floor, _ := readFloor("50 psf")
	want := &pb.WantedList{
		Title: "Posters", Place: "Pittsburgh, PA", ReachRoadKm: f(482.8032), Purse: &pb.Money{CurrencyCode: "CAD", Units: 5000},
		Kit: &pb.Kit{People: proto.Int32(2), DollyKg: f(907.18474), HoistKg: f(0), VehiclePayloadKg: f(1000), DoorWidthMm: f(863.6),
			Steps: proto.Int32(0), FloorKgPerM2: &floor},
		Weights: &pb.FitWeights{Distance: f(1), Rigging: f(0), Completeness: f(3.5)},
		Wants: []*pb.Want{
			{Title: "A jobber", MustHave: []string{"rollers", "throw-off"}, Filter: &pb.LotFilter{
				Kinds: []pb.Kind{pb.Kind_KIND_PRESS}, Classes: []pb.Class{pb.Class_CLASS_PLATEN_JOBBER}, Sheet: &pb.Rectangle{WidthMm: 304.8, HeightMm: 457.2}}},
			{Title: "Type", Id: "type", TextToSet: "LANTERN FESTIVAL", Filter: &pb.LotFilter{
				Kinds: []pb.Kind{pb.Kind_KIND_WOOD_TYPE, pb.Kind_KIND_METAL_TYPE}, Near: &pb.Near{Place: "Dayton, OH", WithinRoadKm: f(482.8032)},
				MaxPrice: &pb.Money{CurrencyCode: "GBP", Units: 300}}},
			{Title: "Near home", Filter: &pb.LotFilter{
				Classes: []pb.Class{pb.Class_CLASS_GALLEY_PROOF_PRESS, pb.Class_CLASS_CYLINDER_PROOF_PRESS},
				Near:    &pb.Near{Place: "Pittsburgh, PA", WithinRoadKm: f(80.4672)}}},
			{Title: "Anywhere", Importance: 5, Filter: &pb.LotFilter{
				Words: "boxwood", Near: &pb.Near{Place: "Leeds, England"}, KnownOnly: true,
				States: []pb.LotState{pb.LotState_LOT_STATE_OFFERED, pb.LotState_LOT_STATE_PROMISED}}},
		},
	}
	if !proto.Equal(list, want) {
		t.Errorf("got\n%v\nwant\n%v", list, want)
	}
	if diff := floor - 244.121; diff > 0.001 || diff < -0.001 {
		// 50 lb/ft² is 244.121 kg/m²: calculated from the pound and the foot.
		t.Errorf("50 psf is %v kg/m2", floor)
	}
}

func TestWantedProblems(t *testing.T) {
	_, err := ReadWanted("w.yaml", strings.NewReader(`title:
reach: far
purse: lots
kitt: {people: 2}
kit:
  people: many
  dolly: strong
  lift: yes
  floor: firm
weights: {distance: 0, rigging: 0, completeness: 0}
wants:
  - id: A B
    kind: [wombat, pres]
    sheet: big
    importance: 6
  - title: Two
    id: two
    max_weight: heavy
    max_price: cheap
    within: near
    must_have: []
  - title: Three
    id: two
    kind: [wood type, platen jobber]
    state: somewhere
    class: contraption
  - nothing
`))
	var ps Problems
	if !errors.As(err, &ps) {
		t.Fatal(err)
	}
	if !strings.HasPrefix(err.Error(), "w.yaml has 24 problems:\nline ") {
		t.Errorf("the error begins %q", strings.SplitN(err.Error(), "\n", 2)[0])
	}
	var got []string
	for _, p := range ps {
		got = append(got, p.Error())
	}
	wantProblems(t, got,
		"line 4, key kitt: there is no such key here: did you mean kit?",
		"line 1, key title: is missing: give the list a name",
		"line 1, key place: is missing: name your town, as Columbus, OH",
		`line 2, key reach: "far" is not a distance by road`,
		`line 3, key purse: "lots" is not a price`,
		"line 8, key lift: there is no such key here",
		`line 6, key people: "many" is not a count`,
		`line 7, key dolly: "strong" is not a weight`,
		`line 9, key floor: "firm" is not a floor load: write it as 50 psf or 250 kg/m2`,
		"line 10, key weights: cannot all be 0",
		"line 12, key title: is missing: say in a line what is wanted",
		`line 12, key id: "A B" is not an id`,
		`line 15, key importance: "6" is not a count: write a whole number, 1 to 5`,
		`line 13, key kind: "wombat" is not a kind: `,
		`line 14, key sheet: "big" is not a size`,
		"line 21, key must_have: write one value or a list",
		`line 18, key max_weight: "heavy" is not a weight`,
		`line 19, key max_price: "cheap" is not a price`,
		`line 20, key within: "near" is not a distance by road`,
		`line 26, key class: "contraption" is not a class`,
		`line 25, key state: "somewhere" is not a state`,
		`line 22, key id: "two" is already the id of the want in line 16`,
		"line 22, key class: a class narrows the whole want, so no lot of wood type could meet it",
		"line 27: write keys here")
}

func TestReadWantedRefuses(t *testing.T) {
	const head = "title: x\nplace: y\n"
	cases := []struct{ about, name, body, want string }{
		{"a table", "w.csv", "title", "w.csv: a wanted list is written in YAML: name it .yaml"},
		{"a workbook", "w.xlsx", "title", "w.xlsx: a wanted list is written in YAML: name it .yaml"},
		{"nothing", "w.yaml", "", "w.yaml: is empty"},
		{"broken YAML", "w.yaml", "a: [", "w.yaml: is not YAML: line 1"},
		{"no wants", "w.yaml", head, "w.yaml: line 1, key wants: is missing: list at least one want"},
		{"an empty list of wants", "w.yaml", head + "wants: []", "w.yaml: line 3, key wants: write the wants as a list"},
		{"wants that are no list", "w.yaml", head + "wants: a press", "w.yaml: line 3, key wants: write the wants as a list"},
		{"too many wants", "w.yaml", head + "wants:\n" + strings.Repeat("- title: x\n", 201), "w.yaml: line 4, key wants: there are 201 wants: at most 200 will do"},
		{"too many words", "w.yaml", head + "wants:\n- {title: x, words: " + strings.Repeat("a ", 65) + "}", "w.yaml: line 4, key words: there are 65 words: at most 64 will do"},
		{"a list of no kinds", "w.yaml", head + "wants:\n- {title: x, kind: []}", "w.yaml: line 4, key kind: write one value or a list"},
		{"a weight out of bounds", "w.yaml", head + "weights: {rigging: -1}\nwants:\n- title: x", `w.yaml: line 3, key rigging: "-1" is not a number from 0 to 100`},
		{"a weight with a comma", "w.yaml", head + "weights: {rigging: \"1,5\"}\nwants:\n- title: x", `w.yaml: line 3, key rigging: "1,5" is not a number from 0 to 100`},
	}
	for _, c := range cases {
		t.Run(c.about, func(t *testing.T) {
			_, err := ReadWanted(c.name, strings.NewReader(c.body))
			if err == nil || !strings.HasPrefix(err.Error(), c.want) {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
	if _, err := ReadWanted("w.yaml", failing{}); err == nil {
		t.Error("a reader failed and nothing was said")
	}
}
