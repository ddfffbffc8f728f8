package trade

import (
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

// naming is one thing with its word and the other words people use for it.
type naming[T any] struct {
	is   T
	word string
	// also are synonyms: singular, lower case, spaces for hyphens.
	also []string
}

// kindNames are the trade's words: common practice.
var kindNames = []naming[pb.Kind]{
	{pb.Kind_KIND_PRESS, "press", []string{"printing press", "printing machine", "letterpress", "proof press", "platen press"}},
	{pb.Kind_KIND_METAL_TYPE, "metal type", []string{"type", "fount", "font", "foundry type", "lead type", "sort", "metal", "metal fount", "metal font"}},
	{pb.Kind_KIND_WOOD_TYPE, "wood type", []string{"wood", "wooden type", "wood letter", "wood font", "wood fount", "woodtype", "poster type"}},
	{pb.Kind_KIND_CUTS, "cuts", []string{"block", "engraving", "plate", "electro", "electrotype", "stereo", "stereotype", "line block", "halftone", "zinc", "copper", "wood engraving", "printing block", "woodcut"}},
	{pb.Kind_KIND_ORNAMENTS, "ornaments", []string{"dingbat", "flower", "fleuron", "printer's flower", "printers flower", "border", "bordering", "rule", "brass rule", "corner"}},
	{pb.Kind_KIND_SPACING, "spacing", []string{"lead", "leading", "slug", "lead and slug", "reglet", "furniture", "quad", "space", "spacing material", "metal furniture", "wood furniture"}},
	{pb.Kind_KIND_CABINETS, "cabinets", []string{"case", "type case", "type cabinet", "frame", "rack", "galley", "galley cabinet", "job case", "california case", "california job case", "drawer", "type drawer", "galley rack"}},
	{pb.Kind_KIND_STONES, "stones", []string{"imposing stone", "imposing surface", "imposing table", "surface"}},
	{pb.Kind_KIND_CUTTERS, "cutters", []string{"paper cutter", "guillotine", "trimmer", "lead cutter", "slug cutter", "lead and slug cutter", "mitrer", "mitre", "miterer", "saw", "rule cutter", "board shear"}},
	{pb.Kind_KIND_CASTERS, "casters", []string{"type caster", "line caster", "slug caster", "linecaster", "typecaster", "casting machine", "matrix", "matrice", "mat", "mould", "mold"}},
	{pb.Kind_KIND_BINDERY, "bindery", []string{"bookbinding", "binding", "bindery equipment", "folder", "drill", "stitcher", "stapler", "perforator", "sewing frame", "numbering machine"}},
	{pb.Kind_KIND_TOOLS, "tools", []string{"stick", "composing stick", "quoin", "quoin key", "gauge", "line gauge", "planer", "mallet", "roller", "brayer", "ink", "tool", "chase", "gauge pin", "tweezer"}},
	{pb.Kind_KIND_OTHER, "other", []string{"paper", "book", "manual", "misc", "miscellaneous", "miscellanea", "document", "specimen book"}},
}

// classNames are the trade's words: common practice.
var classNames = []naming[pb.Class]{
	{pb.Class_CLASS_TABLETOP_PLATEN, "tabletop platen", []string{"tabletop", "tabletop press", "table top press", "table top platen", "lever press", "hobby press", "card press", "bench press", "bench platen", "tabletop platen press", "tabletop lever press"}},
	{pb.Class_CLASS_PLATEN_JOBBER, "platen jobber", []string{"platen", "platen press", "jobber", "job press", "jobbing press", "jobbing platen", "treadle press", "treadle platen", "clamshell", "clamshell press", "floor platen", "platen job press", "hand fed platen"}},
	{pb.Class_CLASS_PARALLEL_PLATEN, "parallel platen", []string{"parallel impression platen", "parallel impression press", "art platen", "heavy platen", "parallel platen press"}},
	{pb.Class_CLASS_AUTOMATIC_PLATEN, "automatic platen", []string{"automatic platen press", "self feeding platen", "auto platen", "automatic feed platen", "automatic jobber"}},
	{pb.Class_CLASS_HAND_PRESS, "hand press", []string{"iron hand press", "handpress", "iron press", "wooden hand press", "common press", "bar press"}},
	{pb.Class_CLASS_GALLEY_PROOF_PRESS, "galley proof press", []string{"galley press", "roller proof press", "proofing roller"}},
	{pb.Class_CLASS_CYLINDER_PROOF_PRESS, "cylinder proof press", []string{"proof press", "proofing press", "cylinder proofing press", "flat bed proof press", "flatbed proof press"}},
	{pb.Class_CLASS_CYLINDER_PRESS, "cylinder press", []string{"stop cylinder", "stop cylinder press", "automatic cylinder", "automatic cylinder press", "flat bed cylinder", "flatbed cylinder press", "wharfedale"}},
	{pb.Class_CLASS_TWO_REVOLUTION_PRESS, "two-revolution press", []string{"two revolution", "two rev", "two rev press", "two revolution flat bed", "2 revolution press"}},
	{pb.Class_CLASS_ETCHING_PRESS, "etching press", []string{"intaglio press", "mangle press", "rolling press"}},
	{pb.Class_CLASS_NIPPING_PRESS, "nipping press", []string{"standing press", "copying press", "copy press", "book press", "letter press", "nipping"}},
	{pb.Class_CLASS_BENCH_CUTTER, "bench cutter", []string{"bench lever cutter", "tabletop cutter", "bench guillotine", "table cutter"}},
	{pb.Class_CLASS_FLOOR_CUTTER, "floor cutter", []string{"lever cutter", "floor lever cutter", "hand guillotine", "hand lever cutter", "floor guillotine"}},
	{pb.Class_CLASS_POWER_CUTTER, "power cutter", []string{"power guillotine", "hydraulic cutter", "electric guillotine", "electric cutter"}},
	{pb.Class_CLASS_TYPE_CASTER, "type caster", []string{"typecaster", "single type caster", "composition caster", "sorts caster"}},
	{pb.Class_CLASS_DISPLAY_SLUG_CASTER, "display slug caster", []string{"display caster", "hand set slug caster", "slug display caster"}},
	{pb.Class_CLASS_LINE_CASTER, "line caster", []string{"linecaster", "slug caster", "line casting machine", "line composing machine"}},
	{pb.Class_CLASS_TYPE_CABINET, "type cabinet", []string{"cabinet", "case cabinet", "frame", "case rack", "cabinet of cases", "type frame"}},
	{pb.Class_CLASS_TYPE_CASE, "type case", []string{"case", "job case", "california case", "california job case", "type drawer", "drawer", "news case", "upper case", "lower case"}},
	{pb.Class_CLASS_GALLEY_CABINET, "galley cabinet", []string{"galley rack", "galley"}},
	{pb.Class_CLASS_FURNITURE_CABINET, "furniture cabinet", []string{"furniture rack", "lead rack", "reglet rack", "lead and slug rack", "reglet cabinet", "leads rack"}},
	{pb.Class_CLASS_IMPOSING_STONE, "imposing stone", []string{"stone", "marble", "imposing table", "marble stone"}},
	{pb.Class_CLASS_IMPOSING_SURFACE, "imposing surface", []string{"steel surface", "iron surface", "steel stone", "imposing plate"}},
}

// Kinds returns every kind that a lot can be of, in the contract's order.
func Kinds() []pb.Kind { return things(kindNames) }

// Classes returns every class, in the contract's order.
func Classes() []pb.Class { return things(classNames) }

func things[T any](names []naming[T]) []T {
	var all []T
	for _, n := range names {
		all = append(all, n.is)
	}
	return all
}

// KindWord is the trade's word for a kind: "metal type". A kind that is not said
// is "".
func KindWord(k pb.Kind) string { return wordFor(kindNames, k) }

// ClassWord is the trade's word for a class: "platen jobber". A class that is
// not said is "".
func ClassWord(c pb.Class) string { return wordFor(classNames, c) }

func wordFor[T comparable](names []naming[T], is T) string {
	i := slices.IndexFunc(names, func(n naming[T]) bool { return n.is == is })
	if i < 0 {
		return ""
	}
	return names[i].word
}

// KindOf is the kind that a class belongs to; unspecified for no class.
func KindOf(c pb.Class) pb.Kind {
	switch {
	case c <= 0:
		return pb.Kind_KIND_UNSPECIFIED
	case c < 30:
		return pb.Kind_KIND_PRESS
	case c < 40:
		return pb.Kind_KIND_CUTTERS
	case c < 50:
		return pb.Kind_KIND_CASTERS
	case c < 60:
		return pb.Kind_KIND_CABINETS
	case c < 70:
		return pb.Kind_KIND_STONES
	}
	return pb.Kind_KIND_UNSPECIFIED
}

// ClassesOf returns the classes of a kind, in the contract's order; none for a
// kind that has no classes.
func ClassesOf(k pb.Kind) []pb.Class {
	var of []pb.Class
	for _, n := range classNames {
		if KindOf(n.is) == k {
			of = append(of, n.is)
		}
	}
	return of
}

// ParseKind reads a kind in the words people use: "presses", "fount", "wooden
// type". The error is a *ParseError that lists the right words and the nearest.
func ParseKind(text string) (pb.Kind, error) { return parseNaming(text, "a kind", kindNames) }

// ParseClass reads a class in the words people use: "jobber", "treadle press",
// "proof press". The error is a *ParseError that lists the right words and the
// nearest.
func ParseClass(text string) (pb.Class, error) { return parseNaming(text, "a class", classNames) }
