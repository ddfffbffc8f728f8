package rigging

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"heirpress/search/trade"
)

// checkRow is a row of a check table by its heading.
type checkRow map[string]string

// checkTable reads a check table. Every row says how its figure is known.
func checkTable(t *testing.T, name string) []checkRow {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "rigging", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []checkRow
	for _, line := range lines[1:] {
		r := checkRow{}
		for i, cell := range line {
			r[lines[0][i]] = cell
		}
		rows = append(rows, r)
	}
	return rows
}

// number reads a cell: "3/8" or "1.25".
func (r checkRow) number(t *testing.T, column string) float64 {
	t.Helper()
	over, under, fraction := strings.Cut(r[column], "/")
	v, err := strconv.ParseFloat(over, 64)
	if fraction {
		var d float64
		d, err = strconv.ParseFloat(under, 64)
		v /= d
	}
	if err != nil {
		t.Fatalf("%s of %v: %v", column, r, err)
	}
	return v
}

// check compares a figure with a cell to the digits that the cell has.
func (r checkRow) check(t *testing.T, got float64, column string) {
	t.Helper()
	text := r[column]
	_, decimals, _ := strings.Cut(text, ".")
	half := 0.5001 * math.Pow10(-len(decimals))
	if want := r.number(t, column); !(math.Abs(got-want) <= half) {
		t.Errorf("%v: got %v, want %s (%s, %s)", r, got, text, r["mark"], r["source"])
	}
}

var tableFiles = []string{
	"lift.csv", "multipliers.csv", "frequency.csv", "limits.csv", "tiedowns.csv", "aggregate.csv",
	"slings.csv", "floors.csv", "patches.csv", "pushing.csv", "tipping.csv", "constants.csv",
}

func TestEveryRowSaysHowItIsKnown(t *testing.T) {
	marks := map[string]int{}
	for _, name := range tableFiles {
		for _, r := range checkTable(t, name) {
			if r["source"] == "" {
				t.Errorf("%s: %v has no source", name, r)
			}
			marks[r["mark"]]++
		}
	}
	total := 0
	for _, m := range []string{"published", "memory", "practice", "calculated"} {
		t.Logf("%d rows are %s", marks[m], m)
		total += marks[m]
		delete(marks, m)
	}
	if len(marks) > 0 {
		t.Errorf("unknown marks: %v", marks)
	}
	if total < 60 {
		t.Errorf("%d rows, want 60 or more", total)
	}
}

var (
	forms     = map[string]Form{"inch": InchPound, "metric": Metric}
	spells    = map[string]Spell{"1": UpToOneHour, "2": UpToTwoHours, "8": UpToEightHours}
	couplings = map[string]Coupling{"good": Good, "fair": Fair, "poor": Poor}
	roundings = map[string]Rounding{"printed": AsPrinted, "exact": Exact}
)

func TestLifts(t *testing.T) {
	for _, r := range checkTable(t, "lift.csv") {
		l := Lift{
			Form:        forms[r["form"]],
			Origin:      Hands{r.number(t, "h"), r.number(t, "v"), r.number(t, "a")},
			Destination: Hands{r.number(t, "to_h"), r.number(t, "to_v"), r.number(t, "to_a")},
			PerMinute:   r.number(t, "per_minute"), Spell: spells[r["spell"]], Coupling: couplings[r["coupling"]],
		}
		at := l.AtOrigin
		if r["at"] == "destination" {
			at = l.AtDestination
		}
		m, err := at(roundings[r["rounding"]])
		if err != nil {
			t.Fatalf("%v: %v", r, err)
		}
		r.check(t, m.RWL, "rwl")
		if r["load"] == "" {
			continue
		}
		li, ok := m.Index(r.number(t, "load"))
		if !ok {
			t.Errorf("%v: no index", r)
		}
		r.check(t, li, "li")
	}
}

// someLift is the manual's ideal lift, where every multiplier is 1.
func someLift(f Form) Lift {
	e := equations[f]
	return Lift{Form: f, Origin: Hands{e.near, e.knuckle, 0}, Destination: Hands{e.near, e.knuckle + e.short, 0}}
}

func TestMultipliers(t *testing.T) {
	for _, r := range checkTable(t, "multipliers.csv") {
		l, v := someLift(forms[r["form"]]), r.number(t, "value")
		switch r["multiplier"] {
		case "HM":
			l.Origin.Horizontal = v
		case "VM":
			l.Origin.Vertical, l.Destination.Vertical = v, v
		case "DM":
			l.Origin.Vertical, l.Destination.Vertical = 0, v
		case "AM":
			l.Origin.TwistDeg = v
		}
		m, err := l.AtOrigin(roundings[r["rounding"]])
		if err != nil {
			t.Fatalf("%v: %v", r, err)
		}
		got := map[string]float64{"HM": m.HM, "VM": m.VM, "DM": m.DM, "AM": m.AM}[r["multiplier"]]
		r.check(t, got, "want")
		if _, ok := m.Index(1); ok != (got > 0) {
			t.Errorf("%v: an index of a limit of %v: %v", r, m.RWL, ok)
		}
	}
}

func TestFrequencies(t *testing.T) {
	for _, r := range checkTable(t, "frequency.csv") {
		for column, height := range map[string]float64{"below_30in": 29.9, "from_30in": 30} {
			l := someLift(InchPound)
			l.Origin.Vertical, l.PerMinute, l.Spell = height, r.number(t, "per_minute"), spells[r["spell"]]
			// The height at the origin counts at the destination too.
			m, err := l.AtDestination(Exact)
			if err != nil {
				t.Fatal(err)
			}
			r.check(t, m.FM, column)
		}
	}
}

func TestCouplings(t *testing.T) {
	// NIOSH 94-110 table 7: from memory; fair confirmed by example 4.
	want := map[Coupling][2]float64{Good: {1, 1}, Fair: {.95, 1}, Poor: {.90, .90}}
	for c, w := range want {
		for k, height := range []float64{29.9, 30} {
			l := someLift(InchPound)
			l.Origin.Vertical, l.Coupling = height, c
			if m, err := l.AtOrigin(Exact); err != nil || m.CM != w[k] {
				t.Errorf("coupling %v at %v in is %v (%v), want %v", c, height, m.CM, err, w[k])
			}
		}
	}
}

func TestDefaultLimits(t *testing.T) {
	for _, r := range checkTable(t, "limits.csv") {
		g, err := parseGear("1 x " + r["size_in"] + " in " + r["material"])
		if err != nil {
			t.Errorf("%v: %v", r, err)
			continue
		}
		r.check(t, g.WLLKg/trade.KgPerPound, "lb")
	}
}

func TestTiedownCounts(t *testing.T) {
	for _, r := range checkTable(t, "tiedowns.csv") {
		n := TiedownCount(r.number(t, "length_ft")*footMm, r.number(t, "weight_lb")*trade.KgPerPound, r["blocked"] == "yes")
		r.check(t, float64(n), "want")
	}
}

func TestAggregates(t *testing.T) {
	paths := map[string]Path{"over": Over, "direct": Direct, "same side": SameSide}
	for _, r := range checkTable(t, "aggregate.csv") {
		kg := r.number(t, "lb") * trade.KgPerPound
		switch r["what"] {
		case "needed":
			r.check(t, NeededKg(kg)/trade.KgPerPound, "want")
		case "counted":
			one := Tiedown{kg, paths[r["path"]]}
			r.check(t, AggregateKg([]Tiedown{one})/trade.KgPerPound, "want")
		case "straps":
			one := Tiedown{r.number(t, "strap_lb") * trade.KgPerPound, paths[r["path"]]}
			n := 0
			for ; AggregateKg(several(one, n)) < NeededKg(kg)*(1-hair); n++ {
			}
			r.check(t, float64(n), "want")
		default:
			t.Errorf("%v is not checked", r)
		}
	}
}

func several(one Tiedown, n int) []Tiedown {
	var all []Tiedown
	for range n {
		all = append(all, one)
	}
	return all
}

func TestSlings(t *testing.T) {
	for _, r := range checkTable(t, "slings.csv") {
		deg := r.number(t, "degrees")
		if r["what"] == "factor" {
			r.check(t, AngleFactor(deg), "want")
			continue
		}
		lb, legs := r.number(t, "lb"), r.number(t, "legs")
		got := lb / legs * AngleFactor(deg)
		if strings.Contains(r["source"], "rounds the factor") {
			got = lb / legs * toPlaces(AngleFactor(deg), 3)
		}
		r.check(t, got, "want")
		kg, err := Sling{Legs: int(legs), Deg: deg}.LegKg(lb * trade.KgPerPound)
		if refused := err != nil; refused != (deg < LeastSlingDeg) {
			t.Errorf("%v: refused %v", r, err)
		} else if !refused && math.Abs(kg/trade.KgPerPound-lb/legs*AngleFactor(deg)) > 1e-6 {
			t.Errorf("%v: a leg pulls %v kg", r, kg)
		}
	}
}

func TestFloorUses(t *testing.T) {
	for _, r := range checkTable(t, "floors.csv") {
		u, err := FloorUseOf(r["use"])
		if err != nil {
			t.Error(err)
		}
		r.check(t, u.Psf, "psf")
		r.check(t, u.PointLb, "point_lb")
		r.check(t, u.KgPerM2()/trade.KgPerPound*0.3048*0.3048, "psf")
	}
}

func TestPatches(t *testing.T) {
	for _, r := range checkTable(t, "patches.csv") {
		kg := r.number(t, "lb") * trade.KgPerPound / r.number(t, "feet")
		p, err := PatchKgPerM2(kg, r.number(t, "width_in")*trade.MmPerInch, r.number(t, "depth_in")*trade.MmPerInch)
		if err != nil {
			t.Fatal(err)
		}
		psf := p / kgPerM2OfPsf
		if r["unit"] == "psi" {
			psf /= 144
		}
		r.check(t, psf, "want")
	}
}

func TestPushes(t *testing.T) {
	for _, r := range checkTable(t, "pushing.csv") {
		s := Slope{r.number(t, "rise"), r.number(t, "run")}
		kg, err := s.PushKg(r.number(t, "lb")*trade.KgPerPound, r.number(t, "mu"))
		if err != nil {
			t.Fatal(err)
		}
		r.check(t, kg/trade.KgPerPound, "want")
	}
}

func TestTilts(t *testing.T) {
	for _, r := range checkTable(t, "tipping.csv") {
		b := Base{r.number(t, "base_in"), r.number(t, "centre_in")}
		switch r["what"] {
		case "tilt":
			r.check(t, b.TipDeg(), "want")
		case "ratio":
			r.check(t, b.Ratio(), "want")
		default:
			if got := b.Tips(r.number(t, "g")); got != (r["want"] == "yes") {
				t.Errorf("%v: %v", r, got)
			}
		}
	}
}

func TestConstants(t *testing.T) {
	perMinute := func(n, minutes, of float64) float64 {
		v, err := PerMinute(n, minutes, of)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	nominal, err := parseDoor("nominal 36 in")
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]float64{
		"breaking, forward": BreakingForces.On(1).Forward, "breaking, rearward": BreakingForces.On(1).Rearward, "breaking, sideways": BreakingForces.On(1).Sideways,
		"working, forward": WorkingForces.On(1).Forward, "working, rearward": WorkingForces.On(1).Rearward, "working, sideways": WorkingForces.On(1).Sideways,
		"down force": DownForce, "friction mat without a rating": FrictionMatShare,
		"wheeled machinery of 10000 lb": float64(MachineryTies(10_000*trade.KgPerPound, true)),
		"wheeled machinery of 9999 lb":  float64(MachineryTies(9_999*trade.KgPerPound, true)),
		"skid of 12000 lb":              float64(MachineryTies(12_000*trade.KgPerPound, false)),
		"slope 1 in 12":                 Slope{1, 12}.Deg(), "slope 1 in 8": Slope{1, 8}.Deg(),
		"ten a minute for 8 of 15 minutes": perMinute(10, 8, 15), "50 lifts in 15 minutes": perMinute(50, 1, 15),
		"one person, to start": personStartKg, "one person, to keep going": personKeepKg,
		"piece for riggers anywhere": veryHeavyKg / trade.KgPerPound, "piece for riggers on steps": heavyKg / trade.KgPerPound,
		"rigid load on 4 legs":          float64(Sling{Legs: 4, Rigid: true}.Carrying()),
		"rigid load on 4 legs of chain": float64(Sling{Legs: 4, Rigid: true, Chain: true}.Carrying()),
		"door nominal 36 in":            nominal.WidthMm / trade.MmPerInch,
	}
	for _, r := range checkTable(t, "constants.csv") {
		v, ok := got[r["what"]]
		if !ok {
			t.Errorf("%v is not checked", r)
			continue
		}
		r.check(t, v, "value")
	}
}
