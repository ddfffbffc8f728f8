package rigging

import (
	"fmt"

	"heirpress/search/trade"

	"google.golang.org/protobuf/proto"
	pb "heirpress/proto/heirpress/v1"
	"pgregory.net/rapid"
)

// drawLoad makes up lots of every kind, with much of them unknown.
func drawLoad(t *rapid.T) []*pb.Lot {
	load := make([]*pb.Lot, rapid.IntRange(0, 12).Draw(t, "lots"))
	for i := range load {
		load[i] = drawLot(t, fmt.Sprintf("T%d", i+1))
	}
	return load
}

func drawLot(t *rapid.T, tag string) *pb.Lot {
	lot := &pb.Lot{Tag: tag, Title: rapid.SampledFrom([]string{"Press & <stand>", "a \"thing\"", "Druckpresse, groß", "x"}).Draw(t, "title")}
	lot.Kind = rapid.SampledFrom(trade.Kinds()).Draw(t, "kind")
	if classes := trade.ClassesOf(lot.Kind); len(classes) > 0 && rapid.Bool().Draw(t, "classed") {
		lot.Class = rapid.SampledFrom(classes).Draw(t, "class")
	}
	side := rapid.Float64Range(50, 3000)
	if rapid.Bool().Draw(t, "sized") {
		lot.Size = &pb.Size{WidthMm: proto.Float64(side.Draw(t, "w")), DepthMm: proto.Float64(side.Draw(t, "d"))}
		if rapid.Bool().Draw(t, "high") {
			lot.Size.HeightMm = proto.Float64(side.Draw(t, "h"))
		}
	}
	if rapid.Bool().Draw(t, "weighed") {
		kg := rapid.Float64Range(1, 4000).Draw(t, "kg")
		lot.Weight = &pb.Weight{LowKg: &kg, HighKg: proto.Float64(kg * rapid.Float64Range(1, 2).Draw(t, "times"))}
	}
	if rapid.IntRange(0, 4).Draw(t, "several") == 0 {
		lot.Count = proto.Int32(int32(rapid.IntRange(1, 5).Draw(t, "count")))
	}
	drawDetail(t, lot)
	return lot
}

func drawDetail(t *rapid.T, lot *pb.Lot) {
	supply := pb.Supply(rapid.IntRange(0, 4).Draw(t, "supply"))
	face := &pb.Rectangle{WidthMm: rapid.Float64Range(50, 1500).Draw(t, "face w"), HeightMm: rapid.Float64Range(50, 1500).Draw(t, "face h")}
	switch lot.Kind {
	case pb.Kind_KIND_PRESS:
		lot.Detail = &pb.Lot_Press{Press: &pb.PressDetail{Supply: supply, Chase: face, Bed: face}}
	case pb.Kind_KIND_METAL_TYPE:
		lot.Detail = &pb.Lot_MetalType{MetalType: &pb.MetalTypeDetail{Cases: proto.Float64(rapid.Float64Range(0, 30).Draw(t, "cases"))}}
	case pb.Kind_KIND_WOOD_TYPE, pb.Kind_KIND_CUTS:
	default:
		lot.Detail = &pb.Lot_General{General: &pb.GeneralDetail{Supply: supply, WorkingSize: face, Cases: proto.Int32(int32(rapid.IntRange(0, 48).Draw(t, "cases")))}}
	}
}

// drawSite makes up a site, or none.
func drawSite(t *rapid.T) *Site {
	if rapid.IntRange(0, 3).Draw(t, "site") == 0 {
		return nil
	}
	s := &Site{From: drawEnd(t), To: drawEnd(t)}
	if rapid.Bool().Draw(t, "vehicle") {
		s.Vehicle = drawVehicle(t)
	}
	if rapid.Bool().Draw(t, "kit") {
		s.Kit = &pb.Kit{People: proto.Int32(3), DollyKg: proto.Float64(450), LiftgateKg: proto.Float64(700), HoistKg: proto.Float64(0)}
	}
	if rapid.Bool().Draw(t, "known") {
		s.Experienced = proto.Bool(rapid.Bool().Draw(t, "experienced"))
	}
	return s
}

func drawEnd(t *rapid.T) End {
	e := End{
		Ground: rapid.SampledFrom([]Ground{SlabGround, WoodGround, UnknownFloor}).Draw(t, "ground"),
		Level:  rapid.SampledFrom([]Level{GroundLevel, Basement, UpperLevel, UnknownLevel}).Draw(t, "level"),
	}
	for range rapid.IntRange(0, 2).Draw(t, "doors") {
		e.Doors = append(e.Doors, Door{"", rapid.Float64Range(500, 2500).Draw(t, "door"), rapid.Float64Range(0, 2500).Draw(t, "door height")})
	}
	if rapid.Bool().Draw(t, "stepped") {
		e.StepsUp = new(rapid.IntRange(0, 20).Draw(t, "steps"))
	}
	if rapid.Bool().Draw(t, "turned") {
		e.Turns = []Turn{{"landing", rapid.Float64Range(600, 3000).Draw(t, "turn")}}
	}
	if rapid.Bool().Draw(t, "rated") {
		e.RatedKgPerM2, e.ElevatorKg, e.Ramp = proto.Float64(300), proto.Float64(900), &Slope{1, 10}
		e.Use = &floorUses[rapid.IntRange(0, len(floorUses)-1).Draw(t, "use")]
	}
	return e
}

func drawVehicle(t *rapid.T) *Vehicle {
	v := &Vehicle{Kind: rapid.SampledFrom([]VehicleKind{Pickup, Van, Truck, Trailer, SomeVehicle}).Draw(t, "vehicle kind")}
	if rapid.Bool().Draw(t, "payload known") {
		v.PayloadKg = proto.Float64(rapid.Float64Range(300, 6000).Draw(t, "payload"))
	}
	if rapid.Bool().Draw(t, "deck known") {
		v.DeckLengthMm = rapid.Float64Range(1500, 9000).Draw(t, "deck length")
		v.DeckWidthMm = rapid.Float64Range(900, 2500).Draw(t, "deck width")
	}
	if rapid.Bool().Draw(t, "axles known") {
		v.WheelbaseMm = rapid.Float64Range(2000, 7000).Draw(t, "wheelbase")
		v.AxleMm = rapid.Float64Range(500, 9000).Draw(t, "axle")
	}
	if rapid.Bool().Draw(t, "gear known") {
		v.Tiedowns = []Gear{}
		for range rapid.IntRange(0, 3).Draw(t, "gear") {
			v.Tiedowns = append(v.Tiedowns, Gear{rapid.IntRange(1, 8).Draw(t, "straps"), "strap", rapid.Float64Range(50, 3000).Draw(t, "wll"), true})
		}
	}
	if rapid.Bool().Draw(t, "walled") {
		v.Headerboard = proto.Bool(true)
	}
	return v
}
