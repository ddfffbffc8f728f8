package sheet

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

// lotIn reads a single lot written in YAML.
func lotIn(t *testing.T, body string) *pb.Lot {
	t.Helper()
	s := readString(t, "x.yaml", "lots:\n- "+body+"\n")
	if len(s.Lots) != 1 {
		t.Fatal(problemsOf(s))
	}
	return s.Lots[0].Lot
}

func TestSetLot(t *testing.T) {
	const jobber = "{tag: P1, title: Press, kind: platen jobber, size: 10x15, bed: 20x20, drive: treadle, price: $900, condition: \"good, oiled\"}"
	cases := []struct{ about, before, key, text, after string }{
		{"a price", jobber, "Price", "$800", strings.Replace(jobber, "$900", "$800", 1)},
		{"no price", jobber, "price", "", strings.Replace(jobber, ", price: $900", "", 1)},
		{"a new size", jobber, "size", "12x18", strings.Replace(jobber, "10x15", "12x18", 1)},
		{"another class of the same kind", jobber, "kind", "hand press", strings.Replace(jobber, "platen jobber", "hand press", 1)},
		{"a class", jobber, "class", "hand press", strings.Replace(jobber, "platen jobber", "hand press", 1)},
		{"no class", jobber, "class", "", strings.Replace(jobber, "platen jobber", "press", 1)},
		{"another kind", jobber, "kind", "cutters", "{tag: P1, title: Press, kind: cutters, size: 10x15, price: $900, condition: \"good, oiled\"}"},
		{"a class of another kind", jobber, "class", "bench cutter", "{tag: P1, title: Press, kind: bench cutter, size: 10x15, price: $900, condition: \"good, oiled\"}"},
		{"a condition", jobber, "condition", "needs care", strings.Replace(jobber, "\"good, oiled\"", "needs care, condition_note: \"good, oiled\"", 1)},
		{"a condition with a note", jobber, "condition", "poor, rusty", strings.Replace(jobber, "good, oiled", "poor, rusty", 1)},
		{"a key of the kind", jobber, "heaviest piece", "800 lb", strings.Replace(jobber, "drive:", "heaviest_piece: 800 lb, drive:", 1)},
		{"a state", jobber, "state", "draft", strings.Replace(jobber, "drive:", "state: draft, drive:", 1)},
		{"what is missing", jobber, "missing", "rollers, treadle", strings.Replace(jobber, "drive:", "missing: [rollers, treadle], drive:", 1)},
	}
	for _, c := range cases {
		t.Run(c.about, func(t *testing.T) {
			before := lotIn(t, c.before)
			kept := proto.CloneOf(before)
			got, err := SetLot(before, c.key, c.text)
			if want := lotIn(t, c.after); err != nil || !proto.Equal(got, want) {
				t.Errorf("got  %v, %v\nwant %v", got, err, want)
			}
			if !proto.Equal(before, kept) {
				t.Errorf("the lot that was given is now %v", before)
			}
		})
	}
}

func TestSetLotRefuses(t *testing.T) {
	lot := lotIn(t, "{tag: P1, title: Press, kind: wood type, size: 12 line}")
	cases := []struct{ key, text, want string }{
		{"prise", "$900", "there is no such key here: did you mean price?"},
		{"price", "dear", `"dear" is not a price`},
		{"title", "", "is missing: every lot needs a line"},
		{"chase", "10x15", "is a key of press, and the kind of this lot is wood type"},
		{"size", "tall", `"tall" is not a type size`},
		{"kind", "press", `column size: "12 line" is not the size of a press`},
	}
	for _, c := range cases {
		if _, err := SetLot(lot, c.key, c.text); err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s=%s: got %v, want %s", c.key, c.text, err, c.want)
		}
	}
	if _, err := SetLot(lot, "price", "5", Currency("pounds")); err == nil {
		t.Error("a currency that is none was taken")
	}
}

func TestSetShop(t *testing.T) {
	shop := &pb.Shop{Title: "Marrowby", Place: "Dayton, OH", ClearBy: &pb.Date{Year: 2027, Month: 1, Day: 31}}
	got, err := SetShop(shop, "Clear by", "2027-02-28")
	if err != nil || !proto.Equal(got, &pb.Shop{Title: "Marrowby", Place: "Dayton, OH", ClearBy: &pb.Date{Year: 2027, Month: 2, Day: 28}}) {
		t.Errorf("got %v, %v", got, err)
	}
	got, err = SetShop(shop, "clear_by", "")
	if err != nil || !proto.Equal(got, &pb.Shop{Title: "Marrowby", Place: "Dayton, OH"}) {
		t.Errorf("got %v, %v", got, err)
	}
	if _, err := SetShop(shop, "clear_by", "soon"); err == nil || !strings.HasPrefix(err.Error(), `"soon" is not a day`) {
		t.Errorf("got %v", err)
	}
	if _, err := SetShop(shop, "town", "Dayton"); err == nil || !strings.HasPrefix(err.Error(), "there is no such key here") {
		t.Errorf("got %v", err)
	}
}

func TestRefuse(t *testing.T) {
	s := readString(t, "x.csv", "title,price\nPress,dear\nStick,5\nStick,5\nPlaner,cheap\n")
	if got := s.Lots[1].Where(); got != "row 4" {
		t.Errorf("the row is called %s", got)
	}
	s.Refuse(s.Lots[1], []Problem{{Column: "title", Message: "is not welcome"}})
	wantProblems(t, problemsOf(s), "row 2, column price: ", "row 4, column title: is not welcome", "row 5, column price: ")
	if len(s.Lots) != 1 || s.Lots[0].Number != 3 {
		t.Errorf("lots %v", s.Lots)
	}
	if got := rejected(t, s); !strings.Contains(got, "\nStick,5,U-") || !strings.HasPrefix(got, "title,price,tag,problem\n") {
		t.Errorf("got\n%s", got)
	}
	y := readString(t, "x.yaml", "lots:\n- title: Press\n")
	y.Refuse(y.Lots[0], []Problem{{Column: "title", Message: "is not welcome"}})
	wantProblems(t, problemsOf(y), "line 2, key title: is not welcome")
}
