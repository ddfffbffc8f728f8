package trade

import (
	"slices"
	"strings"
	"sync"

	pb "heirpress/proto/heirpress/v1"
)

// Part is a part that a complete machine of a class has.
type Part struct {
	// Name is what it is called, as in pb.Parts.
	Name string
	// Hard is how hard it is to replace, from 1 (bought or made in a day) to 10
	// (only from another machine): its weight in completeness. A design choice.
	Hard float64
	// Essential is true where the machine cannot work without it: one that works
	// has it.
	Essential bool
	// also are other names.
	also []string
}

// PartsOf returns the parts of a class, by common practice; none for a class that
// has no list.
func PartsOf(c pb.Class) []Part { return slices.Clone(classParts[c]) }

var (
	frame     = Part{"frame", 10, true, []string{"side frame", "base", "body", "stand"}}
	platen    = Part{"platen", 10, true, nil}
	bed       = Part{"bed", 10, true, nil}
	motor     = Part{"motor", 3, false, []string{"electric motor"}}
	guards    = Part{"guards", 2, false, []string{"safety guard", "finger guard"}}
	manuals   = Part{"manuals", 1, false, []string{"manual", "instruction book", "handbook"}}
	chase     = Part{"chase", 4, false, []string{"chases"}}
	rollers   = Part{"rollers", 3, false, []string{"form roller", "ink roller", "inking roller"}}
	cores     = Part{"roller cores", 4, false, []string{"core", "roller stock", "stock"}}
	trucks    = Part{"trucks", 3, false, []string{"roller truck", "roller wheel", "runner"}}
	hooks     = Part{"roller hooks", 4, false, []string{"saddle", "roller saddle", "roller spring", "roller arm"}}
	inkDisk   = Part{"ink disk", 6, true, []string{"disk", "disc", "ink disc", "ink plate"}}
	bales     = Part{"tympan bales", 4, false, []string{"bale", "bail", "tympan bail", "tympan clamp"}}
	grippers  = Part{"grippers", 3, false, []string{"gripper bar", "gripper finger"}}
	feedBoard = Part{"feed board", 2, false, []string{"feedboard", "delivery board", "feed table"}}
)

var jobber = []Part{
	frame, platen, inkDisk, chase, rollers, cores, trucks, hooks, bales, grippers, feedBoard, guards,
	{"flywheel", 8, true, []string{"fly wheel"}},
	{"drive", 5, false, []string{"treadle", "treadle hook", "crank", "pulley", "belt", "motor"}},
	{"throw-off", 5, true, []string{"throwoff", "throw off lever", "impression lever"}},
	{"chase hook", 2, false, []string{"chase clamp", "chase latch"}},
	{"ratchet pawl", 2, false, []string{"pawl", "ratchet", "disk ratchet"}},
}

var cylinder = []Part{
	frame, bed, feedBoard, guards, motor, manuals,
	{"impression cylinder", 10, true, []string{"cylinder"}},
	{"grippers", 6, true, []string{"gripper bar", "gripper finger"}},
	{"form rollers", 4, false, []string{"roller", "ink roller", "inking roller"}},
	{"distribution", 6, false, []string{"ink table", "distributor", "distribution roller", "rider", "ink drum"}},
	{"ink fountain", 5, false, []string{"fountain", "duct", "ink duct"}},
	{"delivery", 5, false, []string{"delivery table", "fly", "flyer"}},
	{"drive gears", 9, true, []string{"gear", "main gear", "rack"}},
	{"chases", 3, false, []string{"chase"}},
}

var cutter = []Part{
	frame, guards,
	{"knife", 4, false, []string{"blade"}},
	{"spare knife", 2, false, []string{"spare blade", "second knife"}},
	{"cutting stick", 1, false, []string{"stick"}},
	{"back gauge", 5, true, []string{"backgauge", "fence"}},
	{"back gauge screw", 4, false, []string{"gauge screw", "lead screw"}},
	{"clamp", 6, true, []string{"clamp wheel"}},
	{"lever", 5, false, []string{"handle", "arm"}},
	{"table extensions", 3, false, []string{"side table", "extension"}},
	{"knife-lifting handles", 1, false, []string{"knife lifter", "blade lifter", "lifting handle"}},
}

var classParts = map[pb.Class][]Part{
	pb.Class_CLASS_TABLETOP_PLATEN: {
		frame, platen, inkDisk, chase, rollers, cores, trucks, hooks, bales, grippers,
		{"handle", 5, true, []string{"lever"}},
	},
	pb.Class_CLASS_PLATEN_JOBBER:   jobber,
	pb.Class_CLASS_PARALLEL_PLATEN: jobber,
	pb.Class_CLASS_AUTOMATIC_PLATEN: append(slices.Clone(jobber),
		Part{"feeder", 8, true, []string{"feeder arm", "gripper arm", "sucker bar"}},
		Part{"suckers and air pump", 5, false, []string{"sucker", "air pump", "pump", "compressor"}},
		Part{"ink fountain", 4, false, []string{"fountain", "duct"}},
	),
	pb.Class_CLASS_HAND_PRESS: {
		platen, bed,
		{"staple", 10, true, []string{"frame", "cheek"}},
		{"toggle", 9, true, []string{"cam", "figure 4", "knee", "chill", "screw"}},
		{"bar", 6, true, []string{"handle"}},
		{"ribs", 6, true, []string{"rail", "track"}},
		{"rounce", 5, false, []string{"rounce handle", "spit"}},
		{"girths", 2, false, []string{"girth", "strap", "belt"}},
		{"tympan", 5, false, []string{"tympan frame"}},
		{"frisket", 4, false, nil},
		{"points", 2, false, []string{"point"}},
		{"springs", 3, false, []string{"spring"}},
		{"counterweight", 3, false, []string{"weight", "eagle"}},
		{"feet", 3, false, []string{"foot", "leg"}},
	},
	pb.Class_CLASS_GALLEY_PROOF_PRESS: {
		frame, bed,
		{"cylinder", 10, true, []string{"impression roller", "roller"}},
		{"rails", 6, true, []string{"track", "bearer"}},
		{"handle", 2, false, nil},
		{"bed plate", 2, false, []string{"galley plate"}},
	},
	pb.Class_CLASS_CYLINDER_PROOF_PRESS: {
		frame, bed, motor,
		{"carriage", 9, true, nil},
		{"impression cylinder", 10, true, []string{"cylinder"}},
		{"grippers", 6, true, []string{"gripper bar", "gripper finger"}},
		{"trip", 5, false, []string{"trip lever", "print lever", "gripper trip"}},
		{"tympan clamp", 3, false, []string{"reel rod", "tympan rod"}},
		{"feed board", 4, false, []string{"feedboard"}},
		{"side guides", 3, false, []string{"guide", "side guide"}},
		{"bed rails and bearings", 6, true, []string{"rail", "bearing", "bed bearer"}},
		{"form rollers", 4, false, []string{"roller", "ink roller", "inking roller"}},
		{"rider", 4, false, []string{"oscillator", "rider roller"}},
		{"ink drum", 5, false, []string{"drum"}},
		{"bed plate", 2, false, []string{"galley plate"}},
		{"registration pins", 2, false, []string{"pin", "register pin"}},
	},
	pb.Class_CLASS_CYLINDER_PRESS:       cylinder,
	pb.Class_CLASS_TWO_REVOLUTION_PRESS: cylinder,
	pb.Class_CLASS_ETCHING_PRESS: {
		frame, bed,
		{"rollers", 10, true, []string{"top roller", "bottom roller"}},
		{"gears", 6, false, []string{"gear"}},
		{"handle", 4, false, []string{"wheel", "star wheel", "crank"}},
		{"blankets", 2, false, []string{"felt", "blanket"}},
	},
	pb.Class_CLASS_NIPPING_PRESS: {
		frame, platen,
		{"screw", 8, true, nil},
		{"handle", 4, false, []string{"wheel", "bar"}},
	},
	pb.Class_CLASS_BENCH_CUTTER: cutter,
	pb.Class_CLASS_FLOOR_CUTTER: cutter,
	pb.Class_CLASS_POWER_CUTTER: append(slices.Clone(cutter), motor),
	pb.Class_CLASS_TYPE_CASTER: {
		frame, motor, manuals,
		{"moulds", 9, true, []string{"mould", "mold"}},
		{"matrices", 9, false, []string{"mat", "matrix"}},
		{"matrix cases", 6, false, []string{"matrix case", "diecase"}},
		{"pot", 6, true, []string{"metal pot"}},
		{"pump", 5, true, []string{"plunger"}},
		{"wedges", 6, false, []string{"wedge"}},
		{"paper tower", 4, false, []string{"tower"}},
	},
	pb.Class_CLASS_DISPLAY_SLUG_CASTER: {
		frame, motor, manuals,
		{"mould", 8, true, []string{"mold"}},
		{"mats", 9, false, []string{"matrix", "matrice"}},
		{"sticks", 6, false, []string{"stick", "mat stick"}},
		{"pot", 7, true, []string{"metal pot"}},
		{"plunger", 5, true, nil},
	},
	pb.Class_CLASS_LINE_CASTER: {
		frame, motor, manuals,
		{"magazines", 8, false, []string{"magazine"}},
		{"mats", 9, false, []string{"matrix", "matrice"}},
		{"spacebands", 6, false, []string{"spaceband", "space band"}},
		{"pot", 7, true, []string{"metal pot", "crucible"}},
		{"heater", 4, false, []string{"element", "burner"}},
		{"thermostat", 3, false, nil},
		{"mould disk", 7, true, []string{"mold disk", "mould", "mold"}},
		{"liners", 3, false, []string{"liner"}},
		{"ejector blades", 3, false, []string{"ejector"}},
		{"keyboard", 7, true, nil},
	},
	pb.Class_CLASS_TYPE_CABINET: {
		{"frame", 6, true, []string{"carcass", "body"}},
		{"cases", 6, false, []string{"case", "drawer"}},
		{"runs", 4, true, []string{"run", "runner"}},
		{"pulls", 1, false, []string{"pull", "handle"}},
		{"labels", 1, false, []string{"label", "label holder"}},
	},
	pb.Class_CLASS_GALLEY_CABINET: {
		{"frame", 6, true, []string{"carcass", "body"}},
		{"galleys", 5, false, []string{"galley"}},
		{"runs", 4, true, []string{"run", "runner"}},
	},
	pb.Class_CLASS_FURNITURE_CABINET: {
		{"frame", 6, true, []string{"carcass", "body"}},
		{"furniture", 5, false, []string{"lead", "slug", "reglet"}},
	},
	pb.Class_CLASS_IMPOSING_STONE: {
		{"stone", 10, true, []string{"slab", "top"}},
		{"frame", 4, false, []string{"stand", "leg", "base"}},
		{"drawers", 2, false, []string{"drawer", "shelf", "rack"}},
	},
	pb.Class_CLASS_IMPOSING_SURFACE: {
		{"surface", 10, true, []string{"slab", "top", "plate"}},
		{"frame", 4, false, []string{"stand", "leg", "base"}},
		{"drawers", 2, false, []string{"drawer", "shelf", "rack"}},
	},
}

// partKeys are, for each class, the names of each part of its list, folded, with a
// space before and after.
var partKeys = func() map[pb.Class][][]string {
	keys := map[pb.Class][][]string{}
	for c, list := range classParts {
		for _, p := range list {
			var names []string
			for _, name := range p.names() {
				names = append(names, " "+folded(name)+" ")
			}
			keys[c] = append(keys[c], names)
		}
	}
	return keys
}()

func (p Part) names() []string { return append([]string{p.Name}, p.also...) }

// wording is somebody's words for a part: folded, and which part of a class they
// mean: the one whose longest name occurs in them, word by word; -1 if none does.
type wording struct {
	folded string
	part   int
}

func wordingOf(c pb.Class, words string) wording {
	if w, known := listWordings()[c][words]; known {
		return w
	}
	return readWording(c, words)
}

// listWordings are the wordings of the lists' own names, which are the most
// frequent.
var listWordings = sync.OnceValue(func() map[pb.Class]map[string]wording {
	all := map[pb.Class]map[string]wording{}
	for c, list := range classParts {
		all[c] = map[string]wording{}
		for _, p := range list {
			for _, name := range p.names() {
				all[c][name] = readWording(c, name)
			}
		}
	}
	return all
})

func readWording(c pb.Class, words string) wording {
	w := wording{folded: folded(words), part: -1}
	spaced, best := " "+w.folded+" ", 0
	for i, names := range partKeys[c] {
		for _, name := range names {
			if len(name) > best && strings.Contains(spaced, name) {
				best, w.part = len(name), i
			}
		}
	}
	return w
}

// samePart tells whether two wordings mean one part: by the class's list, or in
// their own words.
func (w wording) samePart(other wording) bool {
	if w.part >= 0 || other.part >= 0 {
		return w.part == other.part
	}
	return w.folded == other.folded
}
