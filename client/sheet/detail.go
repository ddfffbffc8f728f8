package sheet

import (
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

var (
	driveWords = []named[pb.Drive]{
		{pb.Drive_DRIVE_HAND, "hand"},
		{pb.Drive_DRIVE_TREADLE, "treadle"},
		{pb.Drive_DRIVE_MOTOR, "motor"},
		{pb.Drive_DRIVE_LINE_SHAFT, "line shaft"},
	}
	supplyWords = []named[pb.Supply]{
		{pb.Supply_SUPPLY_NONE, "none"},
		{pb.Supply_SUPPLY_SINGLE_PHASE, "single phase"},
		{pb.Supply_SUPPLY_THREE_PHASE, "three phase"},
		{pb.Supply_SUPPLY_DIRECT_CURRENT, "direct current"},
	}
	alloyWords = []named[pb.Alloy]{
		{pb.Alloy_ALLOY_FOUNDRY, "foundry"},
		{pb.Alloy_ALLOY_TYPE_CASTER, "type caster"},
		{pb.Alloy_ALLOY_LINE_CASTER, "line caster"},
		{pb.Alloy_ALLOY_STEREOTYPE, "stereotype"},
	}
)

const most = 10_000_000

var pressKeys = []field[*pb.PressDetail]{
	rectangleField("chase", func(d *pb.PressDetail) **pb.Rectangle { return &d.Chase }),
	rectangleField("bed", func(d *pb.PressDetail) **pb.Rectangle { return &d.Bed }),
	rectangleField("platen", func(d *pb.PressDetail) **pb.Rectangle { return &d.Platen }),
	rectangleField("sheet", func(d *pb.PressDetail) **pb.Rectangle { return &d.Sheet }),
	wordField("drive", driveWords, func(d *pb.PressDetail) *pb.Drive { return &d.Drive }),
	wordField("supply", supplyWords, func(d *pb.PressDetail) *pb.Supply { return &d.Supply }),
	massField("heaviest_piece", func(d *pb.PressDetail) **float64 { return &d.HeaviestPieceKg }),
}

var metalTypeKeys = []field[*pb.MetalTypeDetail]{
	typeSizeField("body", func(d *pb.MetalTypeDetail) **pb.TypeSize { return &d.Size }),
	oneLine("face", 200, func(d *pb.MetalTypeDetail) *string { return &d.Face }),
	oneLine("scheme", 200, func(d *pb.MetalTypeDetail) *string { return &d.Scheme }),
	billField(func(d *pb.MetalTypeDetail) *[]*pb.SortCount { return &d.Bill }),
	countField("pieces", 0, most, func(d *pb.MetalTypeDetail) **int32 { return &d.Pieces }),
	numberField("cases", 0, most, func(d *pb.MetalTypeDetail) **float64 { return &d.Cases }),
	optional("area", func(d *pb.MetalTypeDetail) **float64 { return &d.AreaMm2 }, readArea,
		func(v float64) string { return told(v, areaUnits, readArea) }),
	wordField("alloy", alloyWords, func(d *pb.MetalTypeDetail) *pb.Alloy { return &d.Alloy }),
	lengthField("height_to_paper", func(d *pb.MetalTypeDetail) **float64 { return &d.HeightToPaperMm }),
}

var woodTypeKeys = []field[*pb.WoodTypeDetail]{
	typeSizeField("body", func(d *pb.WoodTypeDetail) **pb.TypeSize { return &d.Size }),
	oneLine("face", 200, func(d *pb.WoodTypeDetail) *string { return &d.Face }),
	oneLine("scheme", 200, func(d *pb.WoodTypeDetail) *string { return &d.Scheme }),
	billField(func(d *pb.WoodTypeDetail) *[]*pb.SortCount { return &d.Bill }),
	countField("pieces", 0, most, func(d *pb.WoodTypeDetail) **int32 { return &d.Pieces }),
	lengthField("height_to_paper", func(d *pb.WoodTypeDetail) **float64 { return &d.HeightToPaperMm }),
}

var cutsKeys = []field[*pb.CutsDetail]{
	countField("pieces", 0, most, func(d *pb.CutsDetail) **int32 { return &d.Pieces }),
	oneLine("material", 200, func(d *pb.CutsDetail) *string { return &d.Material }),
	oneLine("subject", 1000, func(d *pb.CutsDetail) *string { return &d.Subject }),
	rectangleField("face", func(d *pb.CutsDetail) **pb.Rectangle { return &d.Face }),
}

var generalKeys = []field[*pb.GeneralDetail]{
	oneLine("material", 200, func(d *pb.GeneralDetail) *string { return &d.Material }),
	countField("cases", 0, most, func(d *pb.GeneralDetail) **int32 { return &d.Cases }),
	rectangleField("working_size", func(d *pb.GeneralDetail) **pb.Rectangle { return &d.WorkingSize }),
	lengthField("thickness", func(d *pb.GeneralDetail) **float64 { return &d.ThicknessMm }),
	wordField("supply", supplyWords, func(d *pb.GeneralDetail) *pb.Supply { return &d.Supply }),
	massField("heaviest_piece", func(d *pb.GeneralDetail) **float64 { return &d.HeaviestPieceKg }),
}

// details are the keys that only a lot of a kind may have.
var details = detailsByKind()

func detailsByKind() map[pb.Kind][]field[*pb.Lot] {
	all := map[pb.Kind][]field[*pb.Lot]{}
	for _, k := range trade.Kinds() {
		all[k] = allInside((*pb.Lot).GetGeneral, func(l *pb.Lot, d *pb.GeneralDetail) { l.Detail = &pb.Lot_General{General: d} }, generalKeys)
	}
	all[pb.Kind_KIND_PRESS] = allInside((*pb.Lot).GetPress, func(l *pb.Lot, d *pb.PressDetail) { l.Detail = &pb.Lot_Press{Press: d} }, pressKeys)
	all[pb.Kind_KIND_METAL_TYPE] = allInside((*pb.Lot).GetMetalType, func(l *pb.Lot, d *pb.MetalTypeDetail) { l.Detail = &pb.Lot_MetalType{MetalType: d} }, metalTypeKeys)
	all[pb.Kind_KIND_WOOD_TYPE] = allInside((*pb.Lot).GetWoodType, func(l *pb.Lot, d *pb.WoodTypeDetail) { l.Detail = &pb.Lot_WoodType{WoodType: d} }, woodTypeKeys)
	all[pb.Kind_KIND_CUTS] = allInside((*pb.Lot).GetCuts, func(l *pb.Lot, d *pb.CutsDetail) { l.Detail = &pb.Lot_Cuts{Cuts: d} }, cutsKeys)
	return all
}

// detailKeys are the keys of every kind, each once.
var detailKeys = allDetailKeys()

func allDetailKeys() []string {
	var all []string
	for _, k := range trade.Kinds() {
		for _, key := range keysOf(details[k]) {
			all = addOnce(all, key)
		}
	}
	return all
}

// notOfKind says whose key it is that stands in a lot of another kind.
func notOfKind(key string, kind pb.Kind) string {
	var owners []string
	for _, k := range trade.Kinds() {
		if slices.Contains(keysOf(details[k]), key) {
			owners = append(owners, trade.KindWord(k))
		}
	}
	return fmt.Sprintf("is a key of %s, and the kind of this lot is %s", strings.Join(owners, ", "), trade.KindWord(kind))
}
