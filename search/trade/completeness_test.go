package trade

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"
)

func jobberWith(c pb.Condition, p *pb.Parts) *pb.Lot {
	lot := press(pb.Class_CLASS_PLATEN_JOBBER, &pb.PressDetail{Chase: rect(10, 15)})
	lot.Condition, lot.Parts = c, p
	return lot
}

const (
	working = pb.Condition_CONDITION_WORKING
	care    = pb.Condition_CONDITION_NEEDS_CARE
	repair  = pb.Condition_CONDITION_NEEDS_REPAIR
	scrap   = pb.Condition_CONDITION_FOR_PARTS
)

func checkShare(t *testing.T, name string, s Share, low, mid, high float64, says ...string) {
	t.Helper()
	if !close2(s.Low, low, 0.0051) || !close2(s.Mid, mid, 0.0051) || !close2(s.High, high, 0.0051) {
		t.Errorf("%s: %.3f, %.3f, %.3f, want %.3f, %.3f, %.3f", name, s.Low, s.Mid, s.High, low, mid, high)
	}
	all := strings.Join(s.Reasons, "; ")
	for _, say := range says {
		if !strings.Contains(all, say) {
			t.Errorf("%s: the reasons are %q, want %q among them", name, all, say)
		}
	}
}

// TestPressCompleteness: the parts of a jobber add up to 77 (frame, platen 10; ink
// disk 6; chase 4; rollers 3; cores 4; trucks 3; hooks 4; bales 4; grippers 3; feed
// board 2; guards 2; flywheel 8; drive 5; throw-off 5; chase hook 2; pawl 2), and
// odds and ends to a twentieth of that.
func TestPressCompleteness(t *testing.T) {
	const all = 77 * 1.05
	for _, c := range []struct {
		name           string
		lot            *pb.Lot
		must           []string
		low, mid, high float64
		says           []string
	}{
		{"all there", jobberWith(working, &pb.Parts{RestComplete: true}), nil, 1, 1, 1, []string{"nothing is missing", "condition: working"}},
		{"nothing said", jobberWith(0, nil), nil, 0, .5, 1, []string{"nobody has said whether anything is missing", "condition is not said"}},
		// Frame, platen, ink disk, flywheel and throw-off are 39 of it.
		{"works", jobberWith(working, nil), nil, (39/all + .25) / 1.25, ((39+77)/2./all + (77*.05/2)/all + .25) / 1.25, 1, []string{"nobody has said"}},
		{"no rollers", jobberWith(working, &pb.Parts{Missing: []string{"2 rollers"}, RestComplete: true}), nil, (1 - 3/all*1 + .25) / 1.25, (1 - 3/all + .25) / 1.25, (1 - 3/all + .25) / 1.25, []string{"missing: 2 rollers", "the rest is there"}},
		{"no flywheel", jobberWith(repair, &pb.Parts{Missing: []string{"fly-wheel"}, RestComplete: true}), nil, (1 - 8/all + .25*.35) / 1.25, (1 - 8/all + .25*.35) / 1.25, (1 - 8/all + .25*.35) / 1.25, []string{"needs repair"}},
		{"an odd thing", jobberWith(working, &pb.Parts{Missing: []string{"name plate"}, RestComplete: true}), nil, (1 - .5*.05/1.05 + .25) / 1.25, (1 - .5*.05/1.05 + .25) / 1.25, (1 - .5*.05/1.05 + .25) / 1.25, nil},
		{"for parts", jobberWith(scrap, &pb.Parts{RestComplete: true}), nil, .8, .8, .8, []string{"for parts"}},
		{"must have, has", jobberWith(working, &pb.Parts{RestComplete: true}), []string{"rollers", "motor"}, 1, 1, 1, []string{"has rollers, which must be there"}},
		{"must have, lacks", jobberWith(working, &pb.Parts{Missing: []string{"rollers"}, RestComplete: true}), []string{"ink rollers"}, .5 * (1 - 3/all + .25) / 1.25, .5 * (1 - 3/all + .25) / 1.25, .5 * (1 - 3/all + .25) / 1.25, []string{"lacks ink rollers, which must be there"}},
		{"must have, not said", jobberWith(working, nil), []string{"rollers"}, .5 * (39/all + .25) / 1.25, .75 * ((39+77)/2./all + (77*.05/2)/all + .25) / 1.25, 1, []string{"not said whether it has rollers, which must be there"}},
		{"must have, essential", jobberWith(care, &pb.Parts{}), []string{"throw-off"}, (39/all + .2) / 1.25, ((39+77)/2./all + (77*.05/2)/all + .2) / 1.25, .96, []string{"has throw-off", "not said whether these are there: chase, rollers"}},
	} {
		checkShare(t, c.name, Completeness(c.lot, c.must, ""), c.low, c.mid, c.high, c.says...)
	}
}

func TestCompletenessOfTheDrive(t *testing.T) {
	lot := jobberWith(working, nil)
	without := Completeness(lot, []string{"treadle"}, "")
	lot.GetPress().Drive = pb.Drive_DRIVE_TREADLE
	with := Completeness(lot, []string{"treadle"}, "")
	if !(with.Low > without.Low) || !strings.Contains(strings.Join(with.Reasons, ";"), "has treadle") {
		t.Errorf("a treadle in the detail counts for nothing: %v, %v", without, with)
	}
	lot = press(pb.Class_CLASS_CYLINDER_PROOF_PRESS, &pb.PressDetail{Drive: pb.Drive_DRIVE_MOTOR})
	if got := HasPart(lot, "electric motor"); got != Yes {
		t.Errorf("a motor in the detail is %v", got)
	}
}

func TestCompletenessWithoutClass(t *testing.T) {
	lot := press(0, nil)
	lot.Condition = working
	lot.Parts = &pb.Parts{RestComplete: true}
	checkShare(t, "checked", Completeness(lot, nil, ""), 1, 1, 1, "nothing is missing")
	lot.Parts = &pb.Parts{Missing: []string{"rollers"}, RestComplete: true}
	checkShare(t, "missing", Completeness(lot, nil, ""), .2, .6, 1, "missing: rollers", "its class is not known")
	other := &pb.Lot{Kind: pb.Kind_KIND_TOOLS, Condition: working, Parts: &pb.Parts{RestComplete: true}}
	checkShare(t, "tools", Completeness(other, nil, ""), 1, 1, 1)
	other.Parts = &pb.Parts{Missing: []string{"a quoin key"}, RestComplete: true}
	checkShare(t, "tools without a key", Completeness(other, nil, ""), .6, .6, .6, "missing: a quoin key")
}

func woodFount(scheme string, b Bill, p *pb.Parts) *pb.Lot {
	lot := wood(&pb.WoodTypeDetail{Size: lines1(12), Scheme: scheme, Bill: b.Counts()})
	lot.Parts, lot.Condition = p, working
	return lot
}

func TestFountCompleteness(t *testing.T) {
	full := Scheme{Caps: 5}.Bill()
	shortE := maps.Clone(full)
	shortE["E"] = 3
	noQ := maps.Clone(full)
	delete(noQ, "Q")
	n := float64(full.Pieces())
	sound := func(sorts float64) float64 { return (sorts + .25) / 1.25 }
	for _, c := range []struct {
		name           string
		lot            *pb.Lot
		text           string
		low, mid, high float64
		says           []string
	}{
		{"as sold", woodFount("5A", full, nil), "", 1, 1, 1, []string{"every sort of a fount of 5A is there"}},
		{"short of E", woodFount("5A", shortE, nil), "", sound(1 - 3/n), sound(1 - 3/n), sound(1 - 3/n), []string{"short of a fount of 5A: E 3", "behaves as a fount of 2A, for want of E"}},
		{"no Q", woodFount("5A", noQ, nil), "", sound((1 - 1/n) * 25 / 26), sound((1 - 1/n) * 25 / 26), sound((1 - 1/n) * 25 / 26), []string{"Q 1", "behaves as a fount of 0A, for want of Q"}},
		{"checked", woodFount("5A", nil, &pb.Parts{RestComplete: true}), "", 1, 1, 1, nil},
		{"checked but K", woodFount("5A", nil, &pb.Parts{Missing: []string{"K"}, RestComplete: true}), "", sound((1 - 2/n) * 25 / 26), sound((1 - 2/n) * 25 / 26), sound((1 - 2/n) * 25 / 26), []string{"K 2"}},
		{"not counted", woodFount("5A", nil, nil), "", .2, .6, 1, []string{"its sorts were not counted; judged against a fount of 5A"}},
		{"nothing known", woodFount("", nil, nil), "", .2, .6, 1, []string{"the smallest useful fount"}},
		{"no scheme, full", woodFount("", full, nil), "", 1, 1, 1, []string{"every sort of the smallest useful fount is there"}},
		{"sets the text", woodFount("", full, nil), "LANTERN FESTIVAL", 1, 1, 1, []string{`can set "LANTERN FESTIVAL"`}},
		{"does not", woodFount("5A", shortE, nil), "ELEVEN TREES", sound(.25*(1-3/n) + .75*9/11), sound(.25*(1-3/n) + .75*9/11), sound(.25*(1-3/n) + .75*9/11), []string{`cannot set "ELEVEN TREES": short of E 2`}},
		{"may", woodFount("5A", nil, nil), "TREE", .2, .6, 1, []string{`not known whether it can set "TREE": it needs E 2, R 1, T 1`}},
		{"has no lower case", woodFount("5A", nil, nil), "tree", .2, .2 + .25/1.25/2, .4, []string{`cannot set "tree": short of e 2, r 1, t 1`}},
		{"a text of spaces", woodFount("5A", full, nil), "  ", 1, 1, 1, nil},
	} {
		checkShare(t, c.name, Completeness(c.lot, nil, c.text), c.low, c.mid, c.high, c.says...)
	}
}

func TestFountByPieces(t *testing.T) {
	lot := metal(&pb.MetalTypeDetail{Scheme: "8A 10a", Pieces: proto.Int32(50)})
	s := Completeness(lot, nil, "")
	most := 50 / float64(Scheme{Caps: 8, Lower: 10}.Bill().Pieces())
	if !close2(s.High, (most+.25)/1.25, 1e-9) || s.Low != 0 {
		t.Errorf("50 pieces of 8A 10a are %+v, want at most %v of the sorts", s, most)
	}
	if s := Completeness(lot, nil, strings.Repeat("x", 100)); s.High > (.25*most+.75*.5+.25)/1.25 {
		t.Errorf("50 pieces set 100 letters: %+v", s)
	}
}

// TestFountSetsWithLigatures: a ligature that was counted serves the text.
func TestFountSetsWithLigatures(t *testing.T) {
	bill := Scheme{Caps: 8, Lower: 10}.Bill()
	bill["f"], bill["ffi"] = 0, 1
	lot := metal(&pb.MetalTypeDetail{Scheme: "8A 10a", Bill: bill.Counts()})
	if s := Completeness(lot, nil, "office"); !slices.Contains(s.Reasons, `can set "office"`) {
		t.Errorf("the reasons are %q", s.Reasons)
	}
	if s := Completeness(lot, nil, "coffin office"); !slices.Contains(s.Reasons, `cannot set "coffin office": short of f 2`) {
		t.Errorf("the reasons are %q", s.Reasons)
	}
	few := metal(&pb.MetalTypeDetail{Bill: Bill{"o": 1, "ffi": 1, "c": 1, "e": 1}.Counts(), Pieces: proto.Int32(4)})
	if s := Completeness(few, nil, "office"); !slices.Contains(s.Reasons, `can set "office"`) {
		t.Errorf("four pieces that set it: %q", s.Reasons)
	}
	if a, b := Completeness(lot, nil, ""), Completeness(lot, nil, "\u00ad"); b.High < a.High {
		t.Errorf("a text that takes no sorts counts against it: %v, %v", a, b)
	}
}

func TestFountMusts(t *testing.T) {
	caps := Scheme{Caps: 5}.Bill()
	for _, c := range []struct {
		lot  *pb.Lot
		must string
		want Answer
	}{
		{woodFount("", caps, nil), "capitals", Yes}, {woodFount("5A", nil, nil), "lower case", No}, {woodFount("5A", nil, nil), "figures", Unknown},
		{woodFount("5A", nil, &pb.Parts{RestComplete: true}), "punctuation", Yes}, {woodFount("5A", nil, &pb.Parts{Missing: []string{"points"}}), "punctuation", No},
		{woodFount("", Bill{"1": 0, "2": 0, "3": 0, "4": 0, "5": 0}, nil), "figures", No}, {woodFount("", nil, nil), "caps", Unknown},
		{woodFount("", nil, &pb.Parts{OnHand: []string{"The case"}}), "the case", Yes}, {woodFount("", nil, nil), "spaces", Unknown},
	} {
		if got := HasPart(c.lot, c.must); got != c.want {
			t.Errorf("%q of %v is %v, want %v", c.must, c.lot, got, c.want)
		}
	}
}

// TestPartsLists: every part is found by each of its own names, and a list has no
// name twice.
func TestPartsLists(t *testing.T) {
	for _, c := range Classes() {
		list := PartsOf(c)
		seen := map[string]string{}
		for i, p := range list {
			if !(p.Hard >= 1 && p.Hard <= 10) {
				t.Errorf("%v: %s weighs %v", c, p.Name, p.Hard)
			}
			for _, name := range append([]string{p.Name}, p.also...) {
				if other, ok := seen[folded(name)]; ok && other != p.Name {
					t.Errorf("%v: %q means %s and %s", c, name, other, p.Name)
				}
				seen[folded(name)] = p.Name
				if got := wordingOf(c, "the "+name+", both").part; got != i && seen[folded(name)] == p.Name {
					t.Errorf("%v: %q is found as %d, want %s", c, name, got, p.Name)
				}
			}
		}
	}
	if wordingOf(pb.Class_CLASS_PLATEN_JOBBER, "three roller cores").part == wordingOf(pb.Class_CLASS_PLATEN_JOBBER, "rollers").part {
		t.Error("roller cores are taken for rollers")
	}
}

// drawLot draws a lot of any kind with some of its facts unsaid.
func drawLot(t *rapid.T) *pb.Lot {
	switch kind := rapid.SampledFrom(Kinds()).Draw(t, "kind"); kind {
	case pb.Kind_KIND_METAL_TYPE, pb.Kind_KIND_WOOD_TYPE:
		return drawType(t, kind)
	default:
		lot := &pb.Lot{Kind: kind}
		if classes := ClassesOf(kind); len(classes) > 0 {
			lot.Class = rapid.SampledFrom(append(slices.Clone(classes), 0)).Draw(t, "class")
		}
		drawParts(t, lot)
		return lot
	}
}

func drawParts(t *rapid.T, lot *pb.Lot) {
	lot.Condition = pb.Condition(rapid.IntRange(0, 4).Draw(t, "condition"))
	words := []string{"rollers", "chase", "name plate", "K", "lower case", "knife"}
	for _, p := range PartsOf(lot.GetClass()) {
		words = append(words, p.Name)
	}
	if rapid.Bool().Draw(t, "has parts") {
		lot.Parts = &pb.Parts{
			OnHand:       rapid.SliceOfN(rapid.SampledFrom(words), 0, 3).Draw(t, "on hand"),
			Missing:      rapid.SliceOfN(rapid.SampledFrom(words), 0, 3).Draw(t, "missing"),
			RestComplete: rapid.Bool().Draw(t, "checked"),
		}
	}
}

func drawType(t *rapid.T, kind pb.Kind) *pb.Lot {
	scheme := rapid.SampledFrom([]string{"", "5A", "8A 10a", "25A 50a 10-1", "12a"}).Draw(t, "scheme")
	bill := Bill{}
	for s := range (Scheme{3, 3, 3}).Bill() {
		if group := GroupOf(s); rapid.IntRange(0, 3).Draw(t, fmt.Sprint("group ", s)) > 1 && group != OtherSorts {
			bill[s] = rapid.IntRange(0, 30).Draw(t, s)
		}
	}
	if rapid.Bool().Draw(t, "not counted") {
		bill = nil
	}
	var pieces *int32
	if rapid.Bool().Draw(t, "pieces known") {
		pieces = proto.Int32(int32(rapid.IntRange(0, 300).Draw(t, "pieces")))
	}
	lot := metal(&pb.MetalTypeDetail{Scheme: scheme, Bill: bill.Counts(), Pieces: pieces})
	if kind == pb.Kind_KIND_WOOD_TYPE {
		lot = wood(&pb.WoodTypeDetail{Scheme: scheme, Bill: bill.Counts(), Pieces: pieces})
	}
	drawParts(t, lot)
	return lot
}

func drawWants(t *rapid.T) (must []string, text string) {
	must = rapid.SliceOfN(rapid.SampledFrom([]string{"rollers", "chase", "flywheel", "figures", "lower case", "motor"}), 0, 2).Draw(t, "must")
	return must, rapid.SampledFrom([]string{"", "LANTERN FESTIVAL", "Lantern 1926", "office"}).Draw(t, "text")
}

// TestCompletionsLieWithin: however the unknown turns out, the result lies between
// the low and the high that it had before. Facts are filled in one after another,
// until nothing is unknown.
func TestCompletionsLieWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := drawLot(t)
		must, text := drawWants(t)
		s := Completeness(lot, must, text)
		for range 8 {
			if !(0 <= s.Low && s.Low <= s.Mid && s.Mid <= s.High && s.High <= 1) || math.IsNaN(s.Mid) {
				t.Fatalf("%v is complete to %+v", lot, s)
			}
			unknowns := Unknowns(lot, must, text)
			if len(unknowns) == 0 {
				return
			}
			u := unknowns[rapid.IntRange(0, len(unknowns)-1).Draw(t, "which")]
			answers := u.Answers()
			answered := answers[rapid.IntRange(0, len(answers)-1).Draw(t, "answer")]
			after := Completeness(answered, must, text)
			if after.Low < s.Low-1e-9 || after.High > s.High+1e-9 {
				t.Fatalf("%q was answered and the result is %v to %v, before %v to %v\n%v\n%v", u.Question, after.Low, after.High, s.Low, s.High, lot, answered)
			}
			lot, s = answered, after
		}
	})
}

// TestMissingMoreIsNeverBetter: one more part missing, a worse condition, one
// less of a sort: the low, the mid and the high never rise.
func TestMissingMoreIsNeverBetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := drawLot(t)
		must, text := drawWants(t)
		worse := proto.CloneOf(lot)
		switch rapid.IntRange(0, 2).Draw(t, "how") {
		case 0:
			if worse.Parts == nil {
				worse.Parts = &pb.Parts{}
			}
			worse.Parts.Missing = append(worse.Parts.Missing, rapid.SampledFrom([]string{"rollers", "flywheel", "a bolt", "E", "knife"}).Draw(t, "part"))
		case 1:
			if worse.Condition == 0 || worse.Condition == scrap {
				return
			}
			worse.Condition++
		case 2:
			bill := worse.GetMetalType().GetBill()
			if worse.GetWoodType() != nil {
				bill = worse.GetWoodType().GetBill()
			}
			for _, c := range bill {
				c.Count = max(0, c.Count-int32(rapid.IntRange(0, 3).Draw(t, "fewer")))
			}
		}
		before, after := Completeness(lot, must, text), Completeness(worse, must, text)
		if after.Low > before.Low+1e-12 || after.Mid > before.Mid+1e-12 || after.High > before.High+1e-12 {
			t.Fatalf("%v is %+v,\nworse %v is %+v", lot, before, worse, after)
		}
	})
}

// TestCompletenessIsDeterministic: the same lot gives the same figures and words
// every time, whatever order maps are walked in.
func TestCompletenessIsDeterministic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := drawLot(t)
		must, text := drawWants(t)
		a := fmt.Sprintf("%+v", Completeness(lot, must, text))
		for range 5 {
			if b := fmt.Sprintf("%+v", Completeness(proto.CloneOf(lot), must, text)); a != b {
				t.Fatalf("%s\n%s", a, b)
			}
		}
	})
}

func TestUnknowns(t *testing.T) {
	ask := func(lot *pb.Lot, must []string, text string) string {
		var qs []string
		for _, u := range Unknowns(lot, must, text) {
			if n := len(u.Answers()); n < 2 {
				t.Errorf("%q has %d answers", u.Question, n)
			}
			qs = append(qs, u.Question)
		}
		return strings.Join(qs, "\n")
	}
	known := jobberWith(working, &pb.Parts{RestComplete: true})
	known.Weight = weight(612, 612, 0)
	known.Size = &pb.Size{WidthMm: proto.Float64(1000), DepthMm: proto.Float64(1200)}
	if got := ask(known, []string{"rollers"}, ""); got != "" {
		t.Errorf("everything is known, and it asks %q", got)
	}
	for _, c := range []struct {
		lot  *pb.Lot
		must []string
		text string
		says []string
	}{
		{press(0, nil), nil, "", []string{"What sort of press", "What does it weigh", "How wide", "Is it sound", "Is anything missing?"}},
		{press(pb.Class_CLASS_PLATEN_JOBBER, nil), []string{"rollers"}, "", []string{"inside of the chase", "Are these there: frame, platen, flywheel, ink disk?", "Does it have rollers?"}},
		{general(pb.Kind_KIND_CUTTERS, pb.Class_CLASS_POWER_CUTTER, nil), nil, "", []string{"the longest cut"}},
		{wood(nil), nil, "", []string{"no battered faces", "How many pieces are there of each letter"}},
		{wood(nil), nil, "TREE", []string{"How many are there of each of these: E, R, T?"}},
		{&pb.Lot{Kind: pb.Kind_KIND_WOOD_TYPE}, nil, "TREE!", []string{"How many are there of each of these: E, R, T, exclamation mark?"}},
		{&pb.Lot{Kind: pb.Kind_KIND_METAL_TYPE}, nil, "TREE", []string{"How many are there of each of these: E, R, T?"}},
		{metal(nil), nil, "TREE", []string{"How many are there of each of these: E, R, T?"}},
	} {
		got := ask(c.lot, c.must, c.text)
		for _, say := range c.says {
			if !strings.Contains(got, say) {
				t.Errorf("%v is asked %q, want %q among it", c.lot, got, say)
			}
		}
	}
	share := Completeness(jobberWith(0, nil), nil, "")
	if all := strings.Join(share.Ask, ";"); !strings.Contains(all, "Is it sound") || strings.Contains(all, "weigh") {
		t.Errorf("completeness asks %q", all)
	}
}
