package lots

import (
	pb "heirpress/proto/heirpress/v1"
)

// cuts are cuts of something.
func cuts(d *dice, lot *pb.Lot) {
	pieces := int32(1 + skewed(d, 120))
	subject := pick(d, subjects) + " of " + d.tailWord()
	material := pick(d, []string{"zinc on wood", "copper", "boxwood", "electro on wood", "lino", ""})
	lot.Kind = pb.Kind_KIND_CUTS
	lot.Detail = &pb.Lot_Cuts{Cuts: &pb.CutsDetail{Pieces: &pieces, Subject: subject, Material: material}}
	lot.Title = pick(d, []string{"Cuts: ", "Engravings, ", "Blocks: ", "Halftones, "}) + subject
	if pieces > 1 {
		lot.Count = &pieces
	}
	d.weigh(lot, 20, 0.3*float64(pieces))
}

var subjects = []string{"birds", "ships", "hands", "portraits", "arms", "views", "engines", "horses", "flowers", "trade marks", "a map", "letterheads"}

// thing is a lot that is told by a name and little else.
type thing struct {
	class  pb.Class
	called string
	kg     float64
}

// general makes a lot of one of some things.
func general(d *dice, lot *pb.Lot, kind pb.Kind, things []thing) {
	t := pick(d, things)
	lot.Kind, lot.Class = kind, t.class
	lot.Title = capital(t.called)
	if d.chance(40) {
		lot.Make = d.drawMake()
		lot.Title = lot.Make + " " + t.called
	}
	if d.chance(25) {
		lot.Title += ", " + d.tailWord()
	}
	lot.Detail = &pb.Lot_General{General: &pb.GeneralDetail{Material: pick(d, []string{"", "", "oak", "steel", "maple", "cast iron", "brass"})}}
	d.weigh(lot, 40, t.kg)
}

func cabinet(d *dice, lot *pb.Lot) {
	general(d, lot, pb.Kind_KIND_CABINETS, []thing{
		{pb.Class_CLASS_TYPE_CABINET, "type cabinet", 180}, {pb.Class_CLASS_TYPE_CABINET, "cabinet of cases", 160},
		{pb.Class_CLASS_TYPE_CASE, "type case", 5}, {pb.Class_CLASS_TYPE_CASE, "case of type, California", 14},
		{pb.Class_CLASS_GALLEY_CABINET, "galley cabinet", 90}, {pb.Class_CLASS_FURNITURE_CABINET, "furniture cabinet", 110},
	})
	n := int32(6 + d.IntN(43))
	lot.GetGeneral().Cases = &n
}

func ornaments(d *dice, lot *pb.Lot) {
	general(d, lot, pb.Kind_KIND_ORNAMENTS, []thing{
		{0, "fleurons", 3}, {0, "border, " + pick(d, []string{"6", "12", "18"}) + " pt", 4}, {0, "brass rule", 6}, {0, "dashes and stars", 2}, {0, "initials", 3},
	})
}

func spacing(d *dice, lot *pb.Lot) {
	general(d, lot, pb.Kind_KIND_SPACING, []thing{
		{0, "leads and slugs", 25}, {0, "reglet", 6}, {0, "furniture, metal", 40}, {0, "wood furniture", 12}, {0, "quads and spaces", 15},
	})
}

func tools(d *dice, lot *pb.Lot) {
	general(d, lot, pb.Kind_KIND_TOOLS, []thing{
		{0, "composing stick", 0.6}, {0, "quoins and keys", 3}, {0, "planer and mallet", 1.5}, {0, "type gauge", 0.5},
		{0, "ink, tins of", 8}, {0, "roller stocks", 10}, {0, "tweezers and bodkin", 0.5},
	})
}

func cutter(d *dice, lot *pb.Lot) {
	general(d, lot, pb.Kind_KIND_CUTTERS, []thing{
		{pb.Class_CLASS_BENCH_CUTTER, "bench cutter", 70}, {pb.Class_CLASS_FLOOR_CUTTER, "lever cutter", 400},
		{pb.Class_CLASS_POWER_CUTTER, "power guillotine", 1200}, {0, "lead and rule cutter", 8}, {0, "mitrer", 12}, {0, "saw trimmer", 180},
	})
	if lot.GetMake() != "" {
		lot.Model = d.model(lot.GetMake())
	}
}

func bindery(d *dice, lot *pb.Lot) {
	general(d, lot, pb.Kind_KIND_BINDERY, []thing{
		{0, "stitcher", 90}, {0, "board shears", 250}, {0, "paper drill", 120}, {0, "folder", 300}, {0, "sewing frame", 4}, {0, "perforator", 100},
	})
}

func stone(d *dice, lot *pb.Lot) {
	general(d, lot, pb.Kind_KIND_STONES, []thing{
		{pb.Class_CLASS_IMPOSING_STONE, "imposing stone", 450}, {pb.Class_CLASS_IMPOSING_SURFACE, "imposing surface, steel", 380},
	})
}

func caster(d *dice, lot *pb.Lot) {
	general(d, lot, pb.Kind_KIND_CASTERS, []thing{
		{pb.Class_CLASS_TYPE_CASTER, "type caster", 700}, {pb.Class_CLASS_DISPLAY_SLUG_CASTER, "display slug caster", 400},
		{pb.Class_CLASS_LINE_CASTER, "line caster", 1500}, {0, "mats, fount of", 6},
	})
}

func other(d *dice, lot *pb.Lot) {
	general(d, lot, pb.Kind_KIND_OTHER, []thing{
		{0, "paper, reams of", 60}, {0, "specimen books", 8}, {0, "ledgers of the shop", 10}, {0, "sign from the front", 12}, {0, "drying rack", 25},
	})
}
