package lots

import (
	"fmt"
	"strconv"

	pb "heirpress/proto/heirpress/v1"
)

var bodies = []weighted[float64]{
	{6, 6}, {10, 8}, {14, 10}, {16, 12}, {10, 14}, {12, 18}, {12, 24}, {7, 30}, {7, 36}, {3, 42}, {5, 48}, {2, 60}, {2, 72},
}

var oldNames = map[float64]string{6: "nonpareil", 8: "brevier", 10: "long primer", 12: "pica", 14: "english", 18: "great primer"}

// metalType is a fount, or what is left of one.
func metalType(d *dice, lot *pb.Lot) {
	points := draw(d, bodies)
	detail := &pb.MetalTypeDetail{Face: d.face(), Size: &pb.TypeSize{Points: &points}}
	if d.chance(85) {
		detail.Size.System = pb.PointSystem_POINT_SYSTEM_AMERICAN
	}
	if d.chance(8) {
		detail.Size.OldName = oldNames[points]
	}
	if d.chance(30) {
		n := 2 + d.IntN(20)
		detail.Scheme = fmt.Sprintf("%dA %da", n, 2*n)
	}
	if d.chance(50) {
		cases := float64(1+d.IntN(6)) / 2
		detail.Cases = &cases
	}
	lot.Kind, lot.Detail = pb.Kind_KIND_METAL_TYPE, &pb.Lot_MetalType{MetalType: detail}
	lot.SizeAsWritten = strconv.FormatFloat(points, 'f', -1, 64) + pick(d, []string{"pt", " pt", " point"})
	lot.Title = detail.Face + ", " + lot.SizeAsWritten
	if d.chance(25) {
		lot.Make = d.drawMake() + " Foundry"
	}
	d.weigh(lot, 35, 1.2*points)
}

// woodType is wood type, in lines.
func woodType(d *dice, lot *pb.Lot) {
	lines := pick(d, []float64{4, 5, 6, 8, 8, 10, 10, 12, 12, 15, 16, 18, 20, 24, 30, 40})
	pieces := int32(30 + d.IntN(160))
	detail := &pb.WoodTypeDetail{Face: d.face(), Size: &pb.TypeSize{Lines: &lines}, Pieces: &pieces}
	lot.Kind, lot.Detail = pb.Kind_KIND_WOOD_TYPE, &pb.Lot_WoodType{WoodType: detail}
	lot.SizeAsWritten = strconv.FormatFloat(lines, 'f', -1, 64) + " line"
	lot.Title = pick(d, []string{"Wood type, ", "Wood letters, ", "Poster type, "}) + detail.Face + ", " + lot.SizeAsWritten
	d.weigh(lot, 30, 0.02*lines*float64(pieces))
}
