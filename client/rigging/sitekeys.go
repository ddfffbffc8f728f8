package rigging

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"

	"go.yaml.in/yaml/v3"
)

var siteKeys = []key[Site]{
	nested("from", func(s *Site) *End { return &s.From }, endKeys),
	nested("to", func(s *Site) *End { return &s.To }, endKeys),
	nested("vehicle", func(s *Site) *Vehicle {
		s.Vehicle = &Vehicle{Kind: SomeVehicle}
		return s.Vehicle
	}, vehicleKeys),
	nested("kit", func(s *Site) *pb.Kit {
		s.Kit = &pb.Kit{}
		return s.Kit
	}, kitKeys),
	scalar("experienced", parseYes, func(s *Site, v bool) { s.Experienced = &v }),
}

var endKeys = []key[End]{
	scalar("town", place.Find, func(e *End, t place.Town) { e.Town = &t }),
	list("doors", parseDoor, func(e *End, v []Door) { e.Doors = v }),
	scalar("steps_up", parseCount, func(e *End, v int) { e.StepsUp = &v }),
	scalar("steps_down", parseCount, func(e *End, v int) { e.StepsDown = &v }),
	list("turns", parseTurn, func(e *End, v []Turn) { e.Turns = v }),
	scalar("floor", parseGround, func(e *End, v Ground) { e.Ground = v }),
	scalar("level", parseLevel, func(e *End, v Level) { e.Level = v }),
	scalar("use", FloorUseOf, func(e *End, v FloorUse) { e.Use = &v }),
	scalar("rated", parseRated, func(e *End, v float64) { e.RatedKgPerM2 = &v }),
	scalar("ramp", parseSlope, func(e *End, v Slope) { e.Ramp = &v }),
	scalar("elevator", parseMass, func(e *End, v float64) { e.ElevatorKg = &v }),
}

var vehicleKeys = []key[Vehicle]{
	scalar("kind", parseKind, func(v *Vehicle, k VehicleKind) { v.Kind = k }),
	scalar("payload", parseMass, func(v *Vehicle, kg float64) { v.PayloadKg = &kg }),
	scalar("deck", parseDeck, func(v *Vehicle, mm [2]float64) { v.DeckLengthMm, v.DeckWidthMm = mm[0], mm[1] }),
	scalar("wheelbase", parseSpan, func(v *Vehicle, mm float64) { v.WheelbaseMm = mm }),
	scalar("axle", parseSpan, func(v *Vehicle, mm float64) { v.AxleMm = mm }),
	scalar("headerboard", parseYes, func(v *Vehicle, yes bool) { v.Headerboard = &yes }),
	list("tiedowns", parseGear, func(v *Vehicle, g []Gear) { v.Tiedowns = g }),
}

var kitKeys = []key[pb.Kit]{
	scalar("people", parseCount, func(k *pb.Kit, n int) { k.People = new(int32(n)) }),
	load("dolly", func(k *pb.Kit) **float64 { return &k.DollyKg }),
	load("pallet_jack", func(k *pb.Kit) **float64 { return &k.PalletJackKg }),
	load("hoist", func(k *pb.Kit) **float64 { return &k.HoistKg }),
	load("liftgate", func(k *pb.Kit) **float64 { return &k.LiftgateKg }),
	load("forklift", func(k *pb.Kit) **float64 { return &k.ForkliftKg }),
}

// nested is a key whose value is a mapping of its own.
func nested[T, P any](name string, part func(*T) *P, keys []key[P]) key[T] {
	return key[T]{name, func(to *T, at string, n *yaml.Node) []SiteProblem {
		return readKeys(part(to), n, at, keys)
	}}
}

// scalar is a key whose value is one text.
func scalar[T, V any](name string, parse func(string) (V, error), set func(*T, V)) key[T] {
	return key[T]{name, func(to *T, at string, n *yaml.Node) []SiteProblem {
		if n.Kind != yaml.ScalarNode {
			return []SiteProblem{{n.Line, at, "write one value here, not a list or a block"}}
		}
		v, err := parse(strings.TrimSpace(n.Value))
		if err != nil {
			return []SiteProblem{{n.Line, at, err.Error()}}
		}
		set(to, v)
		return nil
	}}
}

// list is a key whose value is a list of texts, or one text.
func list[T, V any](name string, parse func(string) (V, error), set func(*T, []V)) key[T] {
	return key[T]{name, func(to *T, at string, n *yaml.Node) []SiteProblem {
		items := []*yaml.Node{n}
		if n.Kind == yaml.SequenceNode {
			items = n.Content
		}
		var ps []SiteProblem
		all := []V{}
		for i, item := range items {
			one := scalar(name, parse, func(_ *T, v V) { all = append(all, v) })
			ps = append(ps, one.read(to, fmt.Sprintf("%s[%d]", at, i+1), item)...)
		}
		if len(ps) > 0 && n.Style&yaml.FlowStyle != 0 {
			ps[len(ps)-1].Message += "; inside [ ] a comma parts the list: put quotes around a text that has one"
		}
		set(to, all)
		return ps
	}}
}

// load is a rated load of the kit; "none" is a present zero.
func load(name string, at func(*pb.Kit) **float64) key[pb.Kit] {
	parse := func(text string) (float64, error) {
		if slices.Contains([]string{"none", "no", "0"}, strings.ToLower(text)) {
			return 0, nil
		}
		return parseMass(text)
	}
	return scalar(name, parse, func(k *pb.Kit, kg float64) { *at(k) = &kg })
}

// mostCounted is the most steps, people or straps that are believed.
const mostCounted = 1000

func parseCount(text string) (int, error) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > mostCounted {
		return 0, fmt.Errorf("%q is not a count: write a whole number from 0 to %d", text, mostCounted)
	}
	return n, nil
}

func parseYes(text string) (bool, error) {
	switch strings.ToLower(text) {
	case "yes", "true", "y":
		return true, nil
	case "no", "false", "n":
		return false, nil
	}
	return false, fmt.Errorf("%q is neither yes nor no", text)
}

// oneOf picks the word that a text means.
func oneOf[V ~string](text, what string, words map[string]V, known string) (V, error) {
	if v, ok := words[strings.ToLower(text)]; ok {
		return v, nil
	}
	return "", fmt.Errorf("%q is not %s: write %s", text, what, known)
}

func parseGround(text string) (Ground, error) {
	return oneOf(text, "what a floor is made of", map[string]Ground{
		"slab": SlabGround, "concrete": SlabGround, "concrete slab": SlabGround,
		"wood": WoodGround, "timber": WoodGround, "wooden": WoodGround, "joists": WoodGround,
		"unknown": UnknownFloor,
	}, "slab, wood or unknown")
}

func parseLevel(text string) (Level, error) {
	return oneOf(text, "a level", map[string]Level{
		"ground": GroundLevel, "ground floor": GroundLevel, "basement": Basement, "cellar": Basement,
		"upper": UpperLevel, "upper floor": UpperLevel, "upstairs": UpperLevel, "unknown": UnknownLevel,
	}, "ground, basement, upper or unknown")
}

func parseKind(text string) (VehicleKind, error) {
	return oneOf(text, "a kind of vehicle", map[string]VehicleKind{
		"pickup": Pickup, "pick-up": Pickup, "ute": Pickup, "van": Van, "cargo van": Van,
		"truck": Truck, "box truck": Truck, "lorry": Truck, "flatbed": Truck, "trailer": Trailer,
	}, "pickup, van, truck or trailer")
}
