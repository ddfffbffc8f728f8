package standing_test

import (
	"fmt"
	"math/rand/v2"

	pb "heirpress/proto/heirpress/v1"
)

// dice makes random wants and lots that have much in common, so that some meet
// and some do not.
type dice struct{ *rand.Rand }

func newDice(seed uint64) dice { return dice{rand.New(rand.NewPCG(seed, 11))} }

func (d dice) chance(percent int) bool { return d.IntN(100) < percent }

func pick[T any](d dice, from ...T) T { return from[d.IntN(len(from))] }

var (
	makes  = []string{"Halvorsen", "Corwen", "Brandt & Lisle", "Ödegård", ""}
	models = []string{"KR15", "No. 4", "8x12", ""}
	things = []string{"platen press", "proof press", "jobber", "wood type", "fount, 24pt", "cuts of birds", "type cabinet", "lead cutter", "quoins"}
	asked  = []string{
		"platen", "press", "Halvorsen", "odegard", "KR15", "kr-15", "8x12", "24 point", "bird", "cabinet", "treadle", "zinc", "wood type",
		"font", "plat*", "halv*", "cor* press", `"platen press"`, `"wood type" halv*`, `"zinc on wood"`, "the corwen press of Dayton in Ohio with treadle",
	}
	notes  = []string{"", "Runs by treadle.", "Zinc on wood; the drawer is cracked.", "From the old mill."}
	shops  = []string{"shops/corwen", "shops/old-mill"}
	points = []*pb.Point{
		{Latitude: 39.7589, Longitude: -84.1916}, {Latitude: 39.9612, Longitude: -82.9988}, {Latitude: 42.3314, Longitude: -83.0458},
		{Latitude: 34.0522, Longitude: -118.2437}, {Latitude: 53.8008, Longitude: -1.5491}, {Latitude: 48.8566, Longitude: 2.3522},
		{Latitude: 90}, {Latitude: -16.9, Longitude: 179.99}, {Latitude: -16.9, Longitude: -179.99},
	}
)

func (d dice) point() *pb.Point {
	if d.chance(50) {
		return &pb.Point{Latitude: 38 + 4*d.Float64(), Longitude: -86 + 6*d.Float64()}
	}
	return pick(d, points...)
}

func (d dice) money() *pb.Money {
	return &pb.Money{CurrencyCode: pick(d, "USD", "USD", "GBP"), Units: int64(d.IntN(5) * 100), Nanos: int32(d.IntN(2)) * 500_000_000}
}

func (d dice) rectangle() *pb.Rectangle {
	return &pb.Rectangle{WidthMm: float64(100 + 50*d.IntN(8)), HeightMm: float64(100 + 50*d.IntN(8))}
}

func (d dice) filter() *pb.LotFilter {
	if d.chance(2) {
		return nil
	}
	f := &pb.LotFilter{KnownOnly: d.chance(25)}
	for d.chance(45) && len(f.Words) < 60 {
		f.Words += " " + pick(d, asked...)
	}
	for d.chance(30) {
		f.Kinds = append(f.Kinds, pb.Kind(1+d.IntN(5)))
	}
	for d.chance(15) {
		f.Classes = append(f.Classes, pb.Class(d.IntN(9)))
	}
	for d.chance(25) {
		f.States = append(f.States, pb.LotState(1+d.IntN(6)))
	}
	if d.chance(15) {
		f.Regions = append(f.Regions, pick(d, "US", "US/OH", "GB"), pick(d, "US/MI", "GB/England"))
	}
	if d.chance(10) {
		f.Shop = pick(d, shops...)
	}
	d.measures(f)
	return f
}

func (d dice) measures(f *pb.LotFilter) {
	if d.chance(15) {
		f.Sheet = d.rectangle()
	}
	if d.chance(20) {
		kg := float64(100 * (1 + d.IntN(10)))
		f.MaxMassKg = &kg
	}
	if d.chance(25) {
		f.MaxPrice = d.money()
	}
	if d.chance(65) {
		f.Near = &pb.Near{Point: d.point()}
		if d.chance(5) {
			f.Near.Point = nil
		}
		if km := pick(d, 0.5, 40, 160, 320, 800, 3000, 25_000); d.chance(80) {
			f.Near.WithinRoadKm = &km
		}
	}
}

func (d dice) lot(name string) *pb.Lot {
	l := &pb.Lot{
		Name: pick(d, shops...) + "/lots/" + name, Tag: name, State: pb.LotState_LOT_STATE_OFFERED,
		Title: fmt.Sprint(pick(d, makes...), " ", pick(d, models...), " ", pick(d, things...)),
		Make:  pick(d, makes...), Description: pick(d, notes...), Kind: pb.Kind(1 + d.IntN(5)),
	}
	if d.chance(15) {
		l.State = pb.LotState(d.IntN(8))
	}
	if d.chance(90) {
		l.Town = &pb.Town{Point: d.point(), Name: "Dayton", CountryCode: pick(d, "US", "US", "GB", ""), Region: pick(d, "OH", "MI", "England", "")}
	}
	if d.chance(60) {
		l.Price = d.money()
	}
	if d.chance(40) {
		kg := float64(100 * (1 + d.IntN(10)))
		l.Weight = &pb.Weight{MassKg: &kg, Grounds: pb.Grounds_GROUNDS_STATED}
	}
	if l.Kind == pb.Kind_KIND_PRESS {
		l.Class = pb.Class(d.IntN(9))
		l.Detail = &pb.Lot_Press{Press: &pb.PressDetail{Chase: d.rectangle(), Drive: pb.Drive(d.IntN(4))}}
	}
	return l
}
