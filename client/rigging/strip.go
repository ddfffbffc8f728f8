package rigging

import (
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

// StripDown is how things of one sort are taken apart for a move. All of it is
// common practice, without a source.
type StripDown struct {
	// For names the sort: "platen jobber".
	For  string   `json:"for"`
	Tags []string `json:"tags"`
	// Steps are in order.
	Steps []string `json:"steps"`
	// Crate are the pieces that travel in crates or boxes.
	Crate []string `json:"crate,omitempty"`
}

// everyMachine comes before and after the steps of any machine.
var everyMachine = StripDown{
	For: "every machine",
	Steps: []string{
		"Before a bolt is turned, photograph each side and each joint. Bag and label bolts, keys and shims with the part they belong to, and number the bags in the order they came off.",
		"At the end, bolt what is left to a long hardwood skid by its own feet, tie everything that swings or slides, and wrap bare bed, rails and cylinder against rust and knocks.",
	},
}

// practice is the steps of some classes or of a kind.
type practice struct {
	name    string
	classes []pb.Class
	kinds   []pb.Kind
	// machine is true where the steps for every machine hold too.
	machine bool
	steps   []string
	crate   []string
}

var practices = []practice{
	{
		name: "tabletop platen", classes: []pb.Class{pb.Class_CLASS_TABLETOP_PLATEN},
		steps: []string{
			"Lift out the rollers, the ink disk and the chase.",
			"Close the platen and tie it to the bed; take the handle off, or tie it down.",
			"Screw it to a board by its feet, or set it low in a crate that holds it all round. Move it by the base, never by handle, disk or arms.",
		},
		crate: []string{"rollers, faces touching nothing", "ink disk", "chases", "handle"},
	},
	{
		name:    "platen press",
		classes: []pb.Class{pb.Class_CLASS_PLATEN_JOBBER, pb.Class_CLASS_PARALLEL_PLATEN, pb.Class_CLASS_AUTOMATIC_PLATEN},
		machine: true,
		steps: []string{
			"Take out the chase, the rollers with their cores, trucks and hooks, and the ink disk.",
			"Take off feed and delivery boards, fountain, counter and gripper fingers; of an automatic press the feeder arms and the pump, each marked where it was set.",
			"Take off belt, motor and guards; or the treadle and its hook.",
			"Throw the impression off, close the platen and tie it to the bed, so that nothing swings.",
			"Where a door or the weight asks for it, draw the flywheel: block it up, pull the key, and take it off with a puller and never a hammer; then the shaft.",
		},
		crate: []string{"rollers on their cores, faces touching nothing", "trucks, hooks and springs", "ink disk", "chases", "grippers and boards", "treadle, hook and keys"},
	},
	{
		name: "hand press", classes: []pb.Class{pb.Class_CLASS_HAND_PRESS}, machine: true,
		steps: []string{
			"Take off frisket and tympan at their hinges, and the points.",
			"Run the bed out, loose the girths, and lift the bed off its ribs; then the ribs and their support, and the rounce.",
			"Take off the bar. Slacken the springs a little at a time, both sides alike, with the platen blocked up from below.",
			"Lower the platen on its blocks; take out the toggle or cam, the pieces marked as to side and order.",
			"Lift off the counterweight. Lower the staple on its back, padded, with a hoist, and take off the feet.",
		},
		crate: []string{"tympan, frisket and points", "toggle, pins and wedges", "bar and rounce", "springs"},
	},
	{
		name:    "proof press",
		classes: []pb.Class{pb.Class_CLASS_CYLINDER_PROOF_PRESS, pb.Class_CLASS_GALLEY_PROOF_PRESS}, machine: true,
		steps: []string{
			"Take off feed board, side guides and tympan rod.",
			"Lift out form rollers and rider; take the motor's plug and belt off the ink drum.",
			"Run the carriage to the middle and block it both ways with timber, or take a loose cylinder off and carry it apart; the grippers stay closed.",
			"Lift under the base only, never by bed, rails or cylinder.",
		},
		crate: []string{"rollers, faces touching nothing", "feed board and guides", "bed plate", "registration pins and handles"},
	},
	{
		name:    "cylinder press",
		classes: []pb.Class{pb.Class_CLASS_CYLINDER_PRESS, pb.Class_CLASS_TWO_REVOLUTION_PRESS}, machine: true,
		steps: []string{
			"Leave the taking apart to people who have done it: cylinder, bed and side frames hold each other up.",
			"What may come off before them: rollers, feed and delivery boards, fountain, guards.",
		},
		crate: []string{"rollers, faces touching nothing", "boards, tapes and guards"},
	},
	{
		name:    "etching or nipping press",
		classes: []pb.Class{pb.Class_CLASS_ETCHING_PRESS, pb.Class_CLASS_NIPPING_PRESS}, machine: true,
		steps: []string{
			"Take off wheel or handle, blankets and bed; screw a nipping press down on a block of wood.",
		},
		crate: []string{"blankets", "wheel or handle"},
	},
	{
		name: "cutter", kinds: []pb.Kind{pb.Kind_KIND_CUTTERS}, machine: true,
		steps: []string{
			"Take the knife out first, with its lifting handles, straight into a wooden scabbard screwed shut; the spare knives too.",
			"Lock or tie the lever down and the clamp up; take off table extensions, and the lever if it comes.",
			"Lift a cutter on its own stand by the stand or the frame, never by table or back gauge.",
		},
		crate: []string{"knives in their scabbards", "lever and table extensions", "cutting sticks"},
	},
	{
		name: "caster", kinds: []pb.Kind{pb.Kind_KIND_CASTERS}, machine: true,
		steps: []string{
			"Move it cold: the pot a day off and the supply disconnected. Metal left in the pot is part of the weight, and is not melted out for the move.",
			"Take off magazines, mats and spacebands first, each magazine flat and locked; they are wanted by thieves, so keep them in sight.",
			"Take out moulds and liners, oiled and wrapped; then motor and guards.",
			"Touch no lagging, no glass bulb and no old switch: see the hazards.",
		},
		crate: []string{"magazines, flat", "mats and spacebands, counted", "moulds, liners and wedges", "manuals"},
	},
	{
		name:    "cabinet",
		classes: []pb.Class{pb.Class_CLASS_TYPE_CABINET, pb.Class_CLASS_GALLEY_CABINET, pb.Class_CLASS_FURNITURE_CABINET},
		steps: []string{
			"Number every case and its run with tape. Draw the cases one by one, from the bottom, and carry each level to a pallet: always move a cabinet empty.",
			"Cover each case with card and wrap it, so that nothing jumps its box; stack few, all one way round.",
			"Tie what slides and wrap the frame; fill it again on the deck only if it stands against a wall and is lashed as the full weight.",
		},
	},
	{
		name: "type, cuts and spacing",
		kinds: []pb.Kind{
			pb.Kind_KIND_METAL_TYPE, pb.Kind_KIND_WOOD_TYPE, pb.Kind_KIND_CUTS, pb.Kind_KIND_ORNAMENTS, pb.Kind_KIND_SPACING,
		},
		classes: []pb.Class{pb.Class_CLASS_TYPE_CASE},
		steps: []string{
			"Leave type in its case; carry the case level, with card tied over it. Nothing is tipped out to save a trip.",
			"Tie up standing formes and set them on boards. Wrap wood type and cuts face to face with paper between, dry, and out of the sun.",
			"Small strong boxes for metal: a box the size of a shoebox is heavy enough.",
		},
	},
	{
		name: "imposing stone", kinds: []pb.Kind{pb.Kind_KIND_STONES},
		steps: []string{
			"Empty the drawers and carry them apart. Mark which way round the slab lies.",
			"Slide the slab over its edge onto a padded board and stand it on its long edge: carried flat, stone breaks of its own weight.",
			"It rides on edge, padded, leaning on a frame it is strapped to; the stand goes apart.",
		},
	},
}

// stripDown gathers the sorts that are in the load, in the load's order, after
// what holds for every machine if there is one.
func (m *move) stripDown() []StripDown {
	every := everyMachine
	var all []StripDown
	for i, lot := range m.lots {
		p, ok := practiceFor(lot)
		if !ok {
			continue
		}
		if p.machine {
			every.Tags = append(every.Tags, m.items[i].Tag)
		}
		at := slices.IndexFunc(all, func(s StripDown) bool { return s.For == p.name })
		if at < 0 {
			all = append(all, StripDown{For: p.name, Steps: p.steps, Crate: p.crate})
			at = len(all) - 1
		}
		all[at].Tags = append(all[at].Tags, m.items[i].Tag)
	}
	if len(every.Tags) > 0 {
		return append([]StripDown{every}, all...)
	}
	return all
}

func practiceFor(lot *pb.Lot) (practice, bool) {
	for _, p := range practices {
		if slices.Contains(p.classes, lot.GetClass()) {
			return p, true
		}
	}
	for _, p := range practices {
		if slices.Contains(p.kinds, lot.GetKind()) {
			return p, true
		}
	}
	return practice{}, false
}
