package sheet

import (
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

func TestNearest(t *testing.T) {
	words := []string{"tag", "title", "weight", "width", "must_have", "known_only"}
	cases := []struct{ name, want string }{
		{"weigth", "weight"},
		{"Wieght", "weight"},
		{"wdth", "width"},
		{"titel", "title"},
		{"must have it", "must_have"},
		{"tga", "tag"},
		{"price", ""},
		{"x", ""},
		{"", ""},
	}
	for _, c := range cases {
		if got := nearest(c.name, words); got != c.want {
			t.Errorf("%q is near %q, want %q", c.name, got, c.want)
		}
	}
}

func TestKindOfTitle(t *testing.T) {
	cases := []struct {
		title string
		kind  pb.Kind
		class pb.Class
	}{
		{"Corwen platen jobber, 8x12", pb.Kind_KIND_PRESS, pb.Class_CLASS_PLATEN_JOBBER},
		{"Brandt & Lisle platen jobber 10x15", pb.Kind_KIND_PRESS, pb.Class_CLASS_PLATEN_JOBBER},
		{"Platen press with treadle", pb.Kind_KIND_PRESS, pb.Class_CLASS_PLATEN_JOBBER},
		{"Wood type (12 line gothic)", pb.Kind_KIND_WOOD_TYPE, 0},
		{"12 line gothic wood type", pb.Kind_KIND_WOOD_TYPE, 0},
		{"Composing sticks for newspapers", pb.Kind_KIND_TOOLS, 0},
		{"Mallet", pb.Kind_KIND_TOOLS, 0},
		{"Chase for a platen press", pb.Kind_KIND_TOOLS, 0},
		{"Box of wood type", 0, 0},
		{"Case of 12pt roman type", 0, 0},
		{"Cabinet and wood type", 0, 0},
		{"Sewing machine", 0, 0},
		{"Picture frame", 0, 0},
		{"Platen press manual shelf", 0, 0},
		{"Something else", 0, 0},
		{"", 0, 0},
	}
	for _, c := range cases {
		if kind, class := kindOfTitle(c.title); kind != c.kind || class != c.class {
			t.Errorf("%q is %v %v, want %v %v", c.title, kind, class, c.kind, c.class)
		}
	}
}

func TestFigureTexts(t *testing.T) {
	eighteen := 18.0
	cases := []struct{ got, want string }{
		{told(1350*0.45359237, massUnits, readMass), "1350 lb"},
		{told(612, massUnits, readMass), "612 kg"},
		{told(381, lengthUnits, readLength), "15 in"},
		{told(23.56, lengthUnits, readLength), "23.56 mm"},
		{told(482.8032, roadUnits, func(s string) (float64, error) { return 482.8032, nil }), "300 mi"},
		{rectangleText(&pb.Rectangle{WidthMm: 254, HeightMm: 381}), "10x15 in"},
		{rectangleText(&pb.Rectangle{WidthMm: 229, HeightMm: 343}), "229x343 mm"},
		{digits(0.1 + 0.2), "0.3"},
		{typeSizeText(&pb.TypeSize{OldName: "great primer", Points: &eighteen}), "great primer"},
		{typeSizeText(&pb.TypeSize{OldName: "double pica", Points: &eighteen}), "18 pt"},
		{digits(1e20), "100000000000000000000"},
		{moneyText(&pb.Money{CurrencyCode: "USD", Units: 1250, Nanos: 500_000_000}), "USD 1250.50"},
	}
	for _, c := range cases {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

// A figure that no text reads back to is written to the digits that are read.
func TestFigureBeyondAllDigits(t *testing.T) {
	const kg = 100.0 / 3
	text := told(kg, massUnits, readMass)
	back, err := readMass(text)
	if diff := back - kg; err != nil || diff > 1e-9 || diff < -1e-9 {
		t.Errorf("%v is written %q and read %v, %v", kg, text, back, err)
	}
	r := &pb.Rectangle{WidthMm: kg, HeightMm: kg}
	if text := rectangleText(r); text != "33.333333333333x33.333333333333 mm" {
		t.Errorf("a rectangle is written %q", text)
	}
}
