package lots

import (
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// build is a class of press: what people call it, what it weighs about, and the
// sizes it comes in, in inches.
type build struct {
	class  pb.Class
	called []string
	kg     float64
	sizes  []string
	drives []pb.Drive
}

const (
	byHand    = pb.Drive_DRIVE_HAND
	byTreadle = pb.Drive_DRIVE_TREADLE
	byMotor   = pb.Drive_DRIVE_MOTOR
	byBelt    = pb.Drive_DRIVE_LINE_SHAFT
)

var builds = []weighted[build]{
	{30, build{pb.Class_CLASS_PLATEN_JOBBER, []string{"platen jobber", "platen press", "jobber", "clamshell", "job press"}, 500,
		[]string{"7x11", "8x12", "9x13", "10x15", "12x18", "13x19", "14.5x22"}, []pb.Drive{byTreadle, byMotor, byBelt}}},
	{22, build{pb.Class_CLASS_TABLETOP_PLATEN, []string{"tabletop platen", "lever press", "hobby press"}, 60,
		[]string{"3x5", "5x8", "6x9", "6.5x10", "8x12"}, []pb.Drive{byHand}}},
	{10, build{pb.Class_CLASS_GALLEY_PROOF_PRESS, []string{"galley proof press", "proof press"}, 150,
		[]string{"10x25", "12x26", "14x24", "17x26"}, []pb.Drive{byHand}}},
	{10, build{pb.Class_CLASS_CYLINDER_PROOF_PRESS, []string{"cylinder proof press", "proofing press"}, 700,
		[]string{"14x24", "15x20", "19x25", "21x28", "25x30"}, []pb.Drive{byHand, byMotor}}},
	{8, build{pb.Class_CLASS_AUTOMATIC_PLATEN, []string{"automatic platen", "self-feeding platen"}, 1100,
		[]string{"10x15", "13x18"}, []pb.Drive{byMotor}}},
	{6, build{pb.Class_CLASS_HAND_PRESS, []string{"iron hand press", "hand press"}, 900,
		[]string{"12x18", "16x22", "20x25", "23x35"}, []pb.Drive{byHand}}},
	{6, build{pb.Class_CLASS_NIPPING_PRESS, []string{"nipping press", "standing press", "copying press"}, 70, nil, []pb.Drive{byHand}}},
	{4, build{pb.Class_CLASS_CYLINDER_PRESS, []string{"cylinder press", "stop-cylinder"}, 2200,
		[]string{"13x20", "18x24", "22x30"}, []pb.Drive{byMotor}}},
	{2, build{pb.Class_CLASS_PARALLEL_PLATEN, []string{"parallel impression platen"}, 1500,
		[]string{"10x15", "14x22", "20x28"}, []pb.Drive{byMotor, byBelt}}},
	{2, build{pb.Class_CLASS_ETCHING_PRESS, []string{"etching press"}, 300, []string{"16x30", "24x40", "30x50"}, []pb.Drive{byHand}}},
}

// press is a press of any build; a few say nothing of their size.
func press(d *dice, lot *pb.Lot) {
	b := draw(d, builds)
	lot.Kind, lot.Class = pb.Kind_KIND_PRESS, b.class
	lot.Make = d.drawMake()
	lot.Model = d.model(lot.Make)
	detail := &pb.PressDetail{Drive: pick(d, b.drives)}
	lot.Detail = &pb.Lot_Press{Press: detail}
	lot.Title = strings.Join([]string{lot.Make, lot.Model, pick(d, b.called)}, " ")
	if len(b.sizes) > 0 && d.chance(88) {
		lot.SizeAsWritten = pick(d, b.sizes)
		lot.Title += ", " + lot.SizeAsWritten
		sizePress(d, b.class, detail, lot.SizeAsWritten)
	}
	if detail.Drive == byMotor {
		detail.Supply = pick(d, []pb.Supply{pb.Supply_SUPPLY_SINGLE_PHASE, pb.Supply_SUPPLY_THREE_PHASE, pb.Supply_SUPPLY_UNSPECIFIED})
	}
	d.weigh(lot, 65, b.kg)
	if d.chance(40) {
		lot.Parts = &pb.Parts{OnHand: []string{"rollers"}, Missing: []string{pick(d, []string{"gauge pins", "chase", "throw-off", "ink disc"})}}
	}
}

// sizePress puts a size where presses of its class are measured.
func sizePress(d *dice, class pb.Class, detail *pb.PressDetail, written string) {
	size, err := trade.ParseRectangle(written)
	if err != nil {
		panic(err) // The sizes are part of the program, and a test reads them.
	}
	switch class {
	case pb.Class_CLASS_HAND_PRESS:
		detail.Platen = size
	case pb.Class_CLASS_GALLEY_PROOF_PRESS, pb.Class_CLASS_ETCHING_PRESS:
		detail.Bed = size
	case pb.Class_CLASS_CYLINDER_PROOF_PRESS, pb.Class_CLASS_CYLINDER_PRESS:
		detail.Bed = size
		if d.chance(50) {
			detail.Sheet = &pb.Rectangle{WidthMm: size.WidthMm - 25, HeightMm: 0.7 * size.HeightMm}
		}
	default:
		detail.Chase = size
	}
}
