package rigging

import (
	"slices"
	"strings"
	"testing"

	"heirpress/search/trade"

	"google.golang.org/protobuf/proto"
	pb "heirpress/proto/heirpress/v1"
)

func codes(b *Brief) []RiggerCode {
	var all []RiggerCode
	for _, r := range b.Riggers.Reasons {
		all = append(all, r.Code)
	}
	return all
}

// known is a site of which everything that calls for riggers is known and good.
const known = `
from: {doors: [90 in], floor: slab, level: ground, steps_up: 0}
to: {doors: [90 in], floor: slab, level: ground, steps_up: 0}
experienced: yes
`

func TestRiggers(t *testing.T) {
	heavy := standing(jobber("P1", 1900), 50, 50, 0)
	cases := []struct {
		name string
		load *pb.Lot
		site string
		want []RiggerCode
	}{
		{"nothing", standing(jobber("P1", 900), 50, 50, 0), known, nil},
		{"heavy, all known", heavy, known, nil},
		{"very heavy", press("P1", pb.Class_CLASS_AUTOMATIC_PLATEN, 13, 18, 2501), known, []RiggerCode{VeryHeavy}},
		{"class", general("T1", pb.Kind_KIND_CUTTERS, pb.Class_CLASS_POWER_CUTTER, 1300, nil), known, []RiggerCode{RiggerClass}},
		{"people and vehicle named", heavy, known + "kit: {people: 2}\nvehicle: {kind: van}\n", nil},
		{"basement", heavy, strings.Replace(known, "level: ground", "level: basement", 1), []RiggerCode{HeavyOnSteps}},
		{"flight", heavy, strings.Replace(known, "steps_up: 0", "steps_up: 3", 1), []RiggerCode{HeavyOnSteps}},
		{"flight with little", jobber("P1", 500), strings.Replace(known, "steps_up: 0", "steps_up: 3", 1), nil},
		{"door", heavy, strings.Replace(known, "doors: [90 in]", "doors: [30 in]", 1), []RiggerCode{DoorTooSmall}},
		{"kit", heavy, known + "kit: {dolly: 1000 lb}", []RiggerCode{BeyondKit}},
		{"kit enough", heavy, known + "kit: {dolly: 1000 lb, pallet_jack: 5500 lb}", nil},
		{"hoist", jobber("P1", 500), known + "kit: {hoist: 2000 lb}", []RiggerCode{LiftingGear}},
		{"floor", heavy, strings.Replace(known, "floor: slab, ", "", 1), []RiggerCode{UnknownGround}},
		{"floor with little", jobber("P1", 500), strings.Replace(known, "floor: slab, ", "", 1), nil},
		{"nobody", jobber("P1", 500), strings.Replace(known, "experienced: yes", "experienced: no", 1), []RiggerCode{Inexperienced}},
		{"top heavy", standing(jobber("P1", 900), 46, 50, 54), known, []RiggerCode{TopHeavy}},
		{"small and top heavy", press("P5", pb.Class_CLASS_TABLETOP_PLATEN, 5, 8, 128), known, nil},
	}
	for _, c := range cases {
		if got := codes(Plan([]*pb.Lot{c.load}, readSite(t, c.site))); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestThreePhaseCallsForAnElectrician(t *testing.T) {
	for supply, want := range map[pb.Supply]bool{
		pb.Supply_SUPPLY_THREE_PHASE: true, pb.Supply_SUPPLY_DIRECT_CURRENT: true, pb.Supply_SUPPLY_SINGLE_PHASE: false, pb.Supply_SUPPLY_NONE: false,
	} {
		lot := standing(jobber("P1", 900), 50, 50, 0)
		lot.GetPress().Supply = supply
		if got := slices.Contains(codes(Plan([]*pb.Lot{lot}, readSite(t, known))), LiveSupply); got != want {
			t.Errorf("%v: %v", supply, got)
		}
	}
}

func TestEveryReasonHasItsWords(t *testing.T) {
	seen := map[string]RiggerCode{}
	for _, c := range []RiggerCode{
		HeavyOnSteps, VeryHeavy, RiggerClass, LiftingGear, TopHeavy, LiveSupply, UnknownGround, Inexperienced, DoorTooSmall, BeyondKit,
	} {
		text := report{u: trade.US}.reason(RiggerReason{Code: c, Tags: []string{"P1"}})
		if other, twice := seen[text]; twice {
			t.Errorf("%s and %s both read %q", c, other, text)
		}
		seen[text] = c
	}
}

func TestHazards(t *testing.T) {
	wired := func(s pb.Supply) *pb.Lot {
		lot := jobber("X", 900)
		lot.GetPress().Supply = s
		return lot
	}
	driven := jobber("X", 900)
	driven.GetPress().Supply, driven.GetPress().Drive = 0, pb.Drive_DRIVE_MOTOR
	titled := func(kind pb.Kind, title string) *pb.Lot { return &pb.Lot{Tag: "X", Kind: kind, Title: title} }
	cases := []struct {
		name string
		lot  *pb.Lot
		want []string
	}{
		{"type", titled(pb.Kind_KIND_METAL_TYPE, "12 pt"), []string{"Lead and dust"}},
		{"wood type", titled(pb.Kind_KIND_WOOD_TYPE, "12 line"), nil},
		{"wood border", titled(pb.Kind_KIND_ORNAMENTS, "Wood border"), nil},
		{"metal border", titled(pb.Kind_KIND_ORNAMENTS, "Border on metal"), []string{"Lead and dust"}},
		{"treadle", wired(pb.Supply_SUPPLY_NONE), nil},
		{"single phase", wired(pb.Supply_SUPPLY_SINGLE_PHASE), []string{"Old wiring", "Old capacitors"}},
		{"three-phase", wired(pb.Supply_SUPPLY_THREE_PHASE), []string{"Old wiring", "Three-phase", "Old capacitors", "Asbestos"}},
		{"direct current", wired(pb.Supply_SUPPLY_DIRECT_CURRENT), []string{"Old wiring", "Direct current"}},
		{"motor", driven, []string{"Old wiring", "Old capacitors", "Asbestos"}},
		{"caster", general("X", pb.Kind_KIND_CASTERS, pb.Class_CLASS_LINE_CASTER, 0, nil), []string{"Lead and dust", "Old wiring", "Asbestos", "Mercury"}},
		{"ink", titled(pb.Kind_KIND_TOOLS, "Ink, part tins"), []string{"Solvents and rags"}},
		{"sticks", titled(pb.Kind_KIND_TOOLS, "Sticks and links"), nil},
		{"cutter", general("X", pb.Kind_KIND_CUTTERS, pb.Class_CLASS_FLOOR_CUTTER, 0, nil), []string{"Knives"}},
		{"power cutter", general("X", pb.Kind_KIND_CUTTERS, pb.Class_CLASS_POWER_CUTTER, 0, nil), []string{"Old wiring", "Old capacitors", "Asbestos", "Knives"}},
	}
	for _, c := range cases {
		var got []string
		for _, h := range Plan([]*pb.Lot{c.lot, c.lot}, nil).Hazards {
			got = append(got, h.Name)
			if len(h.Tags) != 2 {
				t.Errorf("%s: %s is of %v", c.name, h.Name, h.Tags)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestQuestionsAskWhatIsNotSaid(t *testing.T) {
	asked := func(load []*pb.Lot, site *Site) string {
		var all []string
		for _, q := range Plan(load, site).Questions {
			all = append(all, strings.Join(q.Tags, " ")+" "+q.Text)
		}
		return strings.Join(all, "\n")
	}
	unweighed := &pb.Lot{Tag: "X1", Kind: pb.Kind_KIND_OTHER, Title: "Paper"}
	unsized := general("B1", pb.Kind_KIND_BINDERY, 0, 300, nil)
	wired := jobber("P1", 1500)
	wired.GetPress().Supply, wired.GetPress().Drive = 0, pb.Drive_DRIVE_MOTOR
	heavy := jobber("P2", 9000)
	all := asked([]*pb.Lot{unweighed, unsized, wired, heavy}, nil)
	for _, want := range []string{
		"X1 What does it weigh?", "P2 Is the weight right? 9,000 lb is far from", "P2 P1 B1 How wide, deep and high is it",
		"P1 What is it wired for", "at the shop and at the new home: the clear width", "What drives it", "How many able people", "moved such machines before",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("does not ask %q:\n%s", want, all)
		}
	}
	partly := asked([]*pb.Lot{heavy}, readSite(t, "from: {doors: 62 in, floor: slab, level: ground}\nvehicle: {kind: truck}"))
	for _, want := range []string{
		"like at the shop: steps up or down and turns and landings?", "like at the new home: the clear width",
		"What is the payload", "How long and wide is the deck", "Where are the axles", "What tiedowns are there",
	} {
		if !strings.Contains(partly, want) {
			t.Errorf("does not ask %q:\n%s", want, partly)
		}
	}
	if rest := asked([]*pb.Lot{standing(jobber("P1", 1500), 46, 50, 54)}, fullSite(t)); rest != "" {
		t.Errorf("still asks %s", rest)
	}
}

// fullSite says everything.
func fullSite(t *testing.T) *Site {
	end := "{doors: [62 in], steps_up: 0, turns: [9 ft], floor: slab, level: ground}"
	return readSite(t, "from: "+end+"\nto: "+end+`
vehicle: {kind: truck, payload: 9000 lb, deck: 16x8 ft, wheelbase: 14 ft, axle: 10 ft, tiedowns: [4 x 2 in webbing]}
kit: {people: 3, pallet_jack: 5500 lb}
experienced: yes
`)
}

func TestStripDownOncePerSort(t *testing.T) {
	b := Plan([]*pb.Lot{jobber("P1", 900), jobber("P2", 900), {Tag: "M1", Kind: pb.Kind_KIND_METAL_TYPE}, {Tag: "X1", Kind: pb.Kind_KIND_OTHER}}, nil)
	var got []string
	for _, s := range b.StripDown {
		got = append(got, s.For+": "+strings.Join(s.Tags, " "))
	}
	if want := []string{"every machine: P1 P2", "platen press: P1 P2", "type, cuts and spacing: M1"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestEveryClassHasItsStripDown(t *testing.T) {
	for _, c := range trade.Classes() {
		if _, ok := practiceFor(&pb.Lot{Kind: trade.KindOf(c), Class: c}); !ok {
			t.Errorf("nothing says how to take apart a %s", trade.ClassWord(c))
		}
	}
}

func TestAxleWords(t *testing.T) {
	r := report{u: trade.US}
	cases := []struct {
		kind VehicleKind
		a    AxleShare
		want string
	}{
		{Truck, AxleShare{300 * pound, 1700 * pound, .15}, "300 lb of it is on the front axle and 1,700 lb on the rear: hold both against"},
		{Truck, AxleShare{-300 * pound, 2300 * pound, -.15}, "takes 300 lb off the front axle: that is no way to drive"},
		{Trailer, AxleShare{120 * pound, 880 * pound, .12}, "120 lb, 12 percent, bears on the coupling: hold it against"},
		{Trailer, AxleShare{50 * pound, 950 * pound, .05}, "only 5 percent bears on the coupling: with less than a tenth a trailer sways"},
		{Trailer, AxleShare{250 * pound, 750 * pound, .25}, "250 lb, 25 percent, bears on the coupling: more than 15 percent is hard"},
	}
	for _, c := range cases {
		if got := r.axleWords(string(c.kind), c.a); !strings.Contains(got, c.want) {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestKitThatIsTooSmallIsNamed(t *testing.T) {
	site := readSite(t, "kit: {people: 2, dolly: 1000 lb, hoist: none, liftgate: 1500 lb}")
	b := Plan([]*pb.Lot{jobber("P1", 1600), jobber("P2", 900)}, site)
	text := flat(textOf(t, b, trade.US))
	for _, want := range []string{
		"More people than come, so use the winch: P1", "Dolly, 1,000 lb: P1", "Liftgate, 1,500 lb: P1", "Heavier than the liftgate is rated for: P1.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("does not say %q", want)
		}
	}
}

func TestCountedLotsAreMovedOneByOne(t *testing.T) {
	lot := standing(jobber("P1", 3000), 46, 50, 54)
	lot.Count = proto.Int32(2)
	b := Plan([]*pb.Lot{lot}, nil)
	if len(b.Handling) != 1 || !nearly(b.Handling[0].MassKg, 1500*pound) || len(b.Vehicle.Trips[0].Articles) != 2 {
		t.Errorf("handling %+v, trips %+v", b.Handling, b.Vehicle.Trips)
	}
}

func TestTitles(t *testing.T) {
	shop := func(title string) *pb.Lot { return &pb.Lot{Title: "A press", ShopTitle: title} }
	cases := map[string][]*pb.Lot{
		"A press":        {shop("Marrowby")},
		"2 lots of Both": {shop("Both"), shop("Both")},
		"2 lots":         {shop("One"), shop("Other"), nil},
	}
	for want, load := range cases {
		if got := Plan(load, nil).Title; got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
