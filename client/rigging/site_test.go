package rigging

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"heirpress/search/trade"

	"google.golang.org/protobuf/proto"
	pb "heirpress/proto/heirpress/v1"
)

func exampleSite(t testing.TB) *Site {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "rigging", "site.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := ReadSite("site.yaml", f)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func readSite(t testing.TB, text string) *Site {
	t.Helper()
	s, err := ReadSite("site.yaml", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

const (
	inch  = trade.MmPerInch
	pound = trade.KgPerPound
)

func TestReadSite(t *testing.T) {
	s := exampleSite(t)
	dwelling, err := FloorUseOf("dwelling")
	if err != nil {
		t.Fatal(err)
	}
	from := End{
		Doors: []Door{{"alley door", 62 * inch, 84 * inch}, {"street door", 34 * inch, 0}}, StepsUp: new(0), StepsDown: new(0),
		Turns: []Turn{{"alley corner", 108 * inch}}, Ground: SlabGround, Level: GroundLevel,
	}
	to := End{
		Doors: []Door{{"hall door", 34 * inch, 0}}, StepsUp: new(2), Turns: []Turn{{"landing", 48 * inch}},
		Ground: WoodGround, Level: GroundLevel, Use: &dwelling, Ramp: &Slope{1, 10},
	}
	if !reflect.DeepEqual(s.From, from) {
		t.Errorf("from is %+v", s.From)
	}
	if !reflect.DeepEqual(s.To, to) {
		t.Errorf("to is %+v", s.To)
	}
	kit := &pb.Kit{
		People: new(int32(4)), DollyKg: new(1000 * pound), PalletJackKg: new(5500 * pound), HoistKg: new(0.0), LiftgateKg: new(1500 * pound),
	}
	if !proto.Equal(s.Kit, kit) {
		t.Errorf("kit is %v", s.Kit)
	}
	if s.Experienced == nil || !*s.Experienced {
		t.Error("nobody is experienced")
	}
}

func TestReadSiteVehicle(t *testing.T) {
	v := exampleSite(t).Vehicle
	if v.Kind != Trailer || v.Headerboard == nil || !*v.Headerboard || v.PayloadKg == nil || *v.PayloadKg != 5000*pound {
		t.Errorf("vehicle is %+v", v)
	}
	for name, c := range map[string][2]float64{
		"length": {v.DeckLengthMm, 192}, "width": {v.DeckWidthMm, 78}, "wheelbase": {v.WheelbaseMm, 162}, "axle": {v.AxleMm, 114},
	} {
		if math.Abs(c[0]-c[1]*inch) > 1e-6 {
			t.Errorf("%s is %v mm, want %v in", name, c[0], c[1])
		}
	}
	want := []Gear{
		{4, "2 in webbing", 3335 * pound, true}, {2, "3/8 in chain grade 70", 6600 * pound, false}, {4, "2 in webbing", 2000 * pound, false},
	}
	if !sameGear(v.Tiedowns, want) {
		t.Errorf("tiedowns are %+v", v.Tiedowns)
	}
}

// sameGear compares gear, its limits to the gram.
func sameGear(a, b []Gear) bool {
	return slices.EqualFunc(a, b, func(a, b Gear) bool {
		near := math.Abs(a.WLLKg-b.WLLKg) < 0.001
		a.WLLKg = b.WLLKg
		return near && a == b
	})
}

func TestReadSiteTakesMeasuresAsPeopleWriteThem(t *testing.T) {
	s := readSite(t, `
from: {doors: 34, ramp: 1 in 8, floor: concrete, level: upstairs, rated: 125 psf, elevator: "2,000 lb"}
to: {doors: ['34"', 860 mm, garden door 36 x 80 in clear], turns: [hall 4 ft], rated: 600 kg/m2, level: cellar, floor: joists}
vehicle: {kind: lorry, deck: 4.9 m x 2 m, tiedowns: [2 x 50 mm strap WLL 1500 kg, 1/2 in nylon rope, 2x1/4 in chain g70]}
`)
	widths := []float64{34 * inch, 860, 36 * inch}
	for i, d := range s.To.Doors {
		if math.Abs(d.WidthMm-widths[i]) > 1e-9 {
			t.Errorf("door %d is %v wide", i, d.WidthMm)
		}
	}
	if len(s.From.Doors) != 1 || s.From.Doors[0].WidthMm != 34*inch {
		t.Errorf("from doors are %v", s.From.Doors)
	}
	if *s.From.Ramp != (Slope{1, 8}) || s.From.Ground != SlabGround || s.From.Level != UpperLevel || s.To.Level != Basement || s.To.Ground != WoodGround {
		t.Errorf("read %+v", s)
	}
	if psf := *s.From.RatedKgPerM2 / kgPerM2OfPsf; math.Abs(psf-125) > 1e-9 || *s.To.RatedKgPerM2 != 600 {
		t.Errorf("rated %v and %v", psf, *s.To.RatedKgPerM2)
	}
	if *s.From.ElevatorKg != 2000*pound || s.Vehicle.Kind != Truck || s.Vehicle.DeckLengthMm != 4900 || s.Vehicle.DeckWidthMm != 2000 {
		t.Errorf("read %+v", s.Vehicle)
	}
	want := []Gear{{2, "50 mm webbing", 1500, true}, {1, "1/2 in nylon rope", 525 * pound, false}, {2, "1/4 in chain grade 70", 3150 * pound, false}}
	if !sameGear(s.Vehicle.Tiedowns, want) {
		t.Errorf("tiedowns are %+v", s.Vehicle.Tiedowns)
	}
}

func TestReadSiteOfNothing(t *testing.T) {
	for _, text := range []string{"", "# only a comment\n", "from:\nvehicle:\n", "from: {}\n"} {
		if s := readSite(t, text); !reflect.DeepEqual(s, &Site{}) {
			t.Errorf("%q reads as %+v", text, s)
		}
	}
}

func TestReadSiteErrors(t *testing.T) {
	cases := []struct{ text, want string }{
		{"form: {}", "line 1, form: is not a key here: the keys here are from, to, vehicle, kit, experienced"},
		{"from:\n  steps: 2", "line 2, from.steps: is not a key here: say steps_up or steps_down, under from or to"},
		{"payload: 1 lb", "line 1, payload: is not a key here: it belongs under vehicle"},
		{"to:\n  floor: slab\n  floor: wood", "line 3, to.floor: is here twice: keep one"},
		{"to: slab", "line 1, to: write keys with values here: town, doors, steps_up"},
		{"- from", "line 1: write keys with values here: from, to"},
		{"from:\n  doors: [34 in, {a: b}]", "line 2, from.doors[2]: write one value here, not a list or a block"},
		{"from:\n  doors: wide", `line 2, from.doors[1]: "wide" is not a door: write its clear width`},
		{"from:\n  doors: 34x80x2 in", `line 2, from.doors[1]: "34x80x2 in" is not a door: write its clear width, or width by height, as 34x80 in`},
		{"from:\n  doors: 860", "is 860 in (21,844 mm): is its unit right? It should be from 12 in (300 mm) to 315 in (8,000 mm)"},
		{"from:\n  doors: 34x8 in", `"34x8 in" is 8 in (203 mm): is its unit right?`},
		{"from:\n  doors: 8x84 in", `"8x84 in" is 8 in (203 mm): is its unit right?`},
		{"from:\n  steps_up: two", `line 2, from.steps_up: "two" is not a count: write a whole number from 0 to 1000`},
		{"from:\n  steps_down: -1", `"-1" is not a count`},
		{"from:\n  turns: corner a x b", `"corner a x b" is not a turn: write its clear width`},
		{"from:\n  turns: corner 4x5x6 in", `"corner 4x5x6 in" is not a turn: write its clear width, as landing 48 in`},
		{"from:\n  turns: 4 in", `"4 in" is 4 in (102 mm): is its unit right?`},
		{"from:\n  floor: straw", `"straw" is not what a floor is made of: write slab, wood or unknown`},
		{"from:\n  level: 3", `"3" is not a level: write ground, basement, upper or unknown`},
		{"from:\n  use: church", `"church" is not a use of a floor that has a design load: write one of dwelling, garage,`},
		{"from:\n  rated: strong", `"strong" is not a floor load: write it as 50 psf or 250 kg/m2`},
		{"from:\n  rated: 0 psf", `"0 psf" is not a floor load`},
		{"from:\n  ramp: 12:1", `"12:1" is not a slope: write 1:12, or 1 in 12; none is steeper than 1:1`},
		{"from:\n  ramp: 1:0.5", `"1:0.5" is not a slope`},
		{"from:\n  elevator: 1-2 lb", `"1-2 lb" is a range: write one figure, as 1350 lb or 612 kg`},
		{"vehicle:\n  kind: balloon", `"balloon" is not a kind of vehicle: write pickup, van, truck or trailer`},
		{"vehicle:\n  payload: much", `"much" is not a weight`},
		{"vehicle:\n  deck: 16 ft", `"16 ft" is not a deck: write length by width, as 16x7 ft`},
		{"vehicle:\n  deck: 16x7", `names no unit: write`},
		{"vehicle:\n  deck: 16x7 in", "is 16 in (406 mm): is its unit right?"},
		{"vehicle:\n  deck: 16 ft x 7 yak", `is not a length`},
		{"vehicle:\n  wheelbase: 14", `"14" names no unit: write 14 ft, or whichever it is`},
		{"vehicle:\n  axle: 50 m", "is its unit right?"},
		{"vehicle:\n  headerboard: maybe", `"maybe" is neither yes nor no`},
		{"vehicle:\n  tiedowns: [4 2 in straps]", `"4 2 in straps" is not a tiedown: write how many, the size and what it is, as 4 x 2 in webbing`},
		{"vehicle:\n  tiedowns:\n    - 0 x 2 in webbing", `"0 x 2 in webbing" is not a tiedown`},
		{"vehicle:\n  tiedowns:\n    - 2 webbing", `"2 webbing" is not a tiedown`},
		{"vehicle:\n  tiedowns:\n    - 2 x 3/8 in chain grade 90", `grade 90" is not a tiedown`},
		{"vehicle:\n  tiedowns:\n    - 2 x 3/8 in rope grade 70", `grade 70" is not a tiedown`},
		{"vehicle:\n  tiedowns:\n    - 2 x 3/8 in string", `string" is not a tiedown`},
		{"vehicle:\n  tiedowns:\n    - 1 in webbing", "the table begins at 1 3/4 in: give the working load limit on its tag"},
		{"vehicle:\n  tiedowns:\n    - 2 in strap WLL strong", `"strong" is not a weight`},
		{"vehicle:\n  tiedowns: [2 in strap WLL 3,335 lb]", "inside [ ] a comma parts the list: put quotes around a text that has one"},
		{"kit:\n  people: 2000", `"2000" is not a count`},
		{"kit:\n  hoist: big", `"big" is not a weight`},
		{"kit:\n  payload: 1 lb", "line 2, kit.payload: is not a key here: it belongs under vehicle"},
		{"experienced: [yes]", "line 1, experienced: write one value here, not a list or a block"},
		{"from: &a {}\nto: *a", "line 2: an alias cannot be used here: write the value out"},
		{"from: {}\n---\nto: {}", "a second document begins here: keep one to a file"},
		{"from: {}\n---\n\t", "is not YAML: "},
		{"from: [", "is not YAML: "},
		{strings.Repeat("#", maxSiteBytes+1), "is larger than 1 MiB: a site is a page at most"},
	}
	for _, c := range cases {
		_, err := ReadSite("a/site.yaml", strings.NewReader(c.text))
		var se *SiteError
		if !errors.As(err, &se) {
			t.Errorf("%.40q: %v is no SiteError", c.text, err)
			continue
		}
		if !strings.HasPrefix(err.Error(), "site.yaml") || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.40q:\n got %v\nwant %s", c.text, err, c.want)
		}
	}
}

func TestReadSiteReportsEverything(t *testing.T) {
	_, err := ReadSite("s.yaml", strings.NewReader("from:\n  floor: straw\n  ramp: steep\nkits: 3\nexperienced: perhaps\n"))
	var se *SiteError
	if !errors.As(err, &se) || len(se.Problems) != 4 {
		t.Fatalf("got %v", err)
	}
	for i, line := range []int{2, 3, 4, 5} {
		if se.Problems[i].Line != line {
			t.Errorf("problem %d is in line %d, want %d", i, se.Problems[i].Line, line)
		}
	}
	if lines := strings.Count(err.Error(), "\n"); lines != 3 {
		t.Errorf("the error has %d line ends", lines)
	}
}

type brokenReader struct{}

func (brokenReader) Read([]byte) (int, error) { return 0, errors.New("the disk is gone") }

func TestReadSiteReaderError(t *testing.T) {
	_, err := ReadSite("site.yaml", brokenReader{})
	if err == nil || err.Error() != "site.yaml cannot be read: the disk is gone" {
		t.Errorf("got %v", err)
	}
}

func FuzzReadSite(f *testing.F) {
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "rigging", "site.yaml"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(raw))
	f.Add("from: {doors: 34, ramp: 1 in 8}\nto: {turns: [hall 4 ft]}")
	f.Add("vehicle: {deck: 16x7 ft, tiedowns: [4 x 2 in webbing, 2 x 3/8 in chain g70]}")
	f.Add("kit: {people: 3, hoist: none}\nexperienced: no")
	f.Add("from: [")
	f.Add("a: &a [*a]")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ReadSite("site.yaml", strings.NewReader(text))
		if err != nil {
			var se *SiteError
			if !errors.As(err, &se) || len(se.Problems) == 0 {
				t.Fatalf("an error without a problem: %v", err)
			}
			return
		}
		checkSite(t, s)
	})
}

// checkSite holds that whatever was read makes sense and can be planned with.
func checkSite(t *testing.T, s *Site) {
	for _, e := range []End{s.From, s.To} {
		for _, d := range e.Doors {
			if !(d.WidthMm > 200 && d.WidthMm <= mostWayMm) || !(d.HeightMm >= 0 && d.HeightMm <= mostWayMm) {
				t.Errorf("a door of %v", d)
			}
		}
		if e.Ramp != nil && !(e.Ramp.Deg() > 0 && e.Ramp.Deg() <= 45) {
			t.Errorf("a ramp of %v", *e.Ramp)
		}
	}
	if v := s.Vehicle; v != nil {
		if v.DeckWidthMm > v.DeckLengthMm {
			t.Errorf("a deck of %v by %v", v.DeckLengthMm, v.DeckWidthMm)
		}
		for _, g := range v.Tiedowns {
			if g.Count < 1 || !(g.WLLKg > 0) || g.Name == "" {
				t.Errorf("a tiedown of %+v", g)
			}
		}
	}
	if b := Plan(nil, s); len(b.Cautions) == 0 {
		t.Error("no cautions")
	}
}
