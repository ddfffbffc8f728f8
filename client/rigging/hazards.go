package rigging

import (
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// Hazard is a hazard of something in the load.
type Hazard struct {
	Name string `json:"name"`
	Text string `json:"text"`
	// Tags are the lots that bring it.
	Tags []string `json:"tags"`
	// Lead is true where it is lead.
	Lead bool `json:"-"`
}

// leadName is what the hazard of lead is called.
const leadName = "Lead and dust"

// danger is a hazard and the lots that have it.
type danger struct {
	name, text string
	in         func(*pb.Lot) bool
}

// dangers: the limits of lead in air are those of 29 CFR 1910.1025, and the
// share of lead in case dust is Rambousek's, Industrial Poisoning; the rest is
// common practice, without a source.
var dangers = []danger{
	{leadName, "Type, leads and slugs are lead, and so is some of the dust in old cases (15 to 38 % of it in one study). Gloves; no food, drink or children near; wash hands before eating. Take dust up with a HEPA vacuum or a damp cloth and never blow out a case. White powder on type is lead too: wipe it damp. At work the limit in air is 50 µg/m³ over 8 hours, and duties begin at 30 (29 CFR 1910.1025). Melting metal is another and greater danger, and no part of a move.", leaden},
	{"Old wiring", "Cloth and rubber insulation crumbles when it is bent, and a switch does not tell you that the line is dead. A licensed electrician disconnects whatever is wired in, and marks the leads.", wired},
	{"Three-phase", "Most houses have no three-phase supply: ask before the move what the new home has, and what a converter or another motor would take. Disconnecting it is a licensed electrician's work.", threePhase},
	{"Direct current", "Old shops had direct current at 110 or 220 V. Such a motor must not be put on today's supply: keep it with the machine, and let an electrician say what replaces it.", directCurrent},
	{"Old capacitors", "Capacitors and ballasts from before 1979 may hold PCB oil. Look for a leak, touch nothing, open nothing, and ask the waste authority.", powered},
	{"Asbestos", "It may be in the lagging of a pot, in brake and clutch linings and in old wiring. Ask; do not open, sand, drill or sweep. Where it is loose, work stops until a licensed person has looked.", asbestos},
	{"Mercury", "Thermostats and switches of old pots may hold mercury. Do not tilt, break or unscrew a glass bulb; a broken one is a matter for the fire service.", mercurial},
	{"Solvents and rags", "Old tins may hold benzene, carbon tetrachloride or white spirit. They do not ride with the load: they go shut, upright and labelled to a hazardous-waste day. Oily rags can set themselves alight: a lidded metal can, outdoors.", solvent},
	{"Knives", "A cutter's knife is the first thing out and the last thing in, in a wooden scabbard, carried by one person with a clear way.", knifed},
}

// hazards picks the dangers that are in the load.
func (m *move) hazards() []Hazard {
	var all []Hazard
	for _, d := range dangers {
		var tags []string
		for i, lot := range m.lots {
			if d.in(lot) {
				tags = append(tags, m.items[i].Tag)
			}
		}
		if tags != nil {
			all = append(all, Hazard{d.name, d.text, tags, d.name == leadName})
		}
	}
	return all
}

func leaden(lot *pb.Lot) bool {
	switch lot.GetKind() {
	case pb.Kind_KIND_METAL_TYPE, pb.Kind_KIND_CUTS, pb.Kind_KIND_SPACING, pb.Kind_KIND_CASTERS, pb.Kind_KIND_CABINETS:
		return true
	case pb.Kind_KIND_ORNAMENTS:
		return !says(lot, "wood") || says(lot, "metal", "lead")
	}
	return false
}

func supplyOf(lot *pb.Lot) pb.Supply {
	if p := lot.GetPress(); p != nil {
		return p.GetSupply()
	}
	return lot.GetGeneral().GetSupply()
}

// wired tells whether a lot has, or most likely has, something electric.
func wired(lot *pb.Lot) bool {
	if s := supplyOf(lot); s != pb.Supply_SUPPLY_UNSPECIFIED {
		return s != pb.Supply_SUPPLY_NONE
	}
	return powered(lot) || lot.GetKind() == pb.Kind_KIND_CASTERS
}

// powered tells whether a motor turns it.
func powered(lot *pb.Lot) bool {
	switch s := supplyOf(lot); {
	case s == pb.Supply_SUPPLY_NONE:
		return false
	case s == pb.Supply_SUPPLY_SINGLE_PHASE, s == pb.Supply_SUPPLY_THREE_PHASE:
		return true
	}
	return lot.GetPress().GetDrive() == pb.Drive_DRIVE_MOTOR || lot.GetClass() == pb.Class_CLASS_POWER_CUTTER || says(lot, "motor")
}

func threePhase(lot *pb.Lot) bool { return supplyOf(lot) == pb.Supply_SUPPLY_THREE_PHASE }

func directCurrent(lot *pb.Lot) bool { return supplyOf(lot) == pb.Supply_SUPPLY_DIRECT_CURRENT }

func asbestos(lot *pb.Lot) bool {
	return lot.GetKind() == pb.Kind_KIND_CASTERS || powered(lot) && supplyOf(lot) != pb.Supply_SUPPLY_SINGLE_PHASE
}

func mercurial(lot *pb.Lot) bool { return lot.GetKind() == pb.Kind_KIND_CASTERS }

func solvent(lot *pb.Lot) bool {
	switch lot.GetKind() {
	case pb.Kind_KIND_TOOLS, pb.Kind_KIND_OTHER:
		return says(lot, "ink", "inks", "solvent", "solvents", "thinner", "spirit", "benzene", "benzine", "kerosene", "turpentine", "wash", "oil")
	}
	return false
}

func knifed(lot *pb.Lot) bool {
	switch lot.GetClass() {
	case pb.Class_CLASS_BENCH_CUTTER, pb.Class_CLASS_FLOOR_CUTTER, pb.Class_CLASS_POWER_CUTTER:
		return true
	}
	return false
}

// says tells whether the lot's words have one of these among them.
func says(lot *pb.Lot, words ...string) bool {
	text := strings.ToLower(lot.GetTitle() + " " + lot.GetDescription() + " " + lot.GetGeneral().GetMaterial())
	letter := func(r rune) bool { return r < 'a' || r > 'z' }
	return slices.ContainsFunc(strings.FieldsFunc(text, letter), func(w string) bool { return slices.Contains(words, w) })
}
