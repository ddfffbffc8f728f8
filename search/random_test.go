package search

import (
	"fmt"
	"math/rand/v2"

	pb "heirpress/proto/heirpress/v1"
)

// dice makes random lots and filters that have much in common, so that filters
// find some lots and not others.
type dice struct{ *rand.Rand }

func newDice(seed uint64) dice { return dice{rand.New(rand.NewPCG(seed, 7))} }

func (d dice) chance(percent int) bool { return d.IntN(100) < percent }

func pick[T any](d dice, from []T) T { return from[d.IntN(len(from))] }

var (
	someMakes  = []string{"Halvorsen", "Brandt & Lisle", "Corwen", "Ödegård", ""}
	someModels = []string{"KR15", "KR 12", "No. 4", "8x12", ""}
	someThings = []string{
		"platen press", "jobber", "proof press", "hand press", "type cabinet", "font of wood type", "fount, 24pt",
		"cuts of birds", "engravings", "ornaments", "brass rule", "leads and slugs", "imposing stone", "guillotine",
		"composing sticks", "line caster", "clamshell", "quoins", "galleys", "10 x 15 chase",
	}
	someNotes = []string{
		"", "In the front room since 1950.", "Needs rollers; the fly-wheel is sound.", "With 12 cases of Corwen gothic, 6½ in wide.",
		"Presse à épreuves, as the label says.", "The printer's flowers are in the drawer below.", "Runs by treadle; a motor goes with it.",
	}
	someShops  = []string{"shops/corwen-press", "shops/halvorsen", "shops/old-mill"}
	shopTitles = map[string]string{"shops/corwen-press": "The Corwen Press", "shops/halvorsen": "Halvorsen & Daughters", "shops/old-mill": "Old Mill Printers"}
	someWords  = []string{
		"press", "platen", "jobber", "fount", "Font", "KR15", "kr-12", "10x15", "15 × 10", "rule", "lead", "cut", "engraving", "bird",
		"fleuron", "ornament", "treadle", "Halvorsen", "odegard", "mill", "A-7", "plat*", "KR1*", "rollers*", "24 point", "wood type", "drawer", "machine", "1950", "zinc",
	}
	// somePoints are towns here and there, the poles and both sides of the date
	// line among them.
	somePoints = []*pb.Point{
		{Latitude: 39.7589, Longitude: -84.1916}, {Latitude: 41.6639, Longitude: -83.5552}, {Latitude: 39.9612, Longitude: -82.9988},
		{Latitude: 42.3314, Longitude: -83.0458}, {Latitude: 41.8781, Longitude: -87.6298}, {Latitude: 40.7128, Longitude: -74.0060},
		{Latitude: 34.0522, Longitude: -118.2437}, {Latitude: 53.8008, Longitude: -1.5491}, {Latitude: 51.4545, Longitude: -2.5879},
		{Latitude: 48.8566, Longitude: 2.3522}, {Latitude: 50.1109, Longitude: 8.6821}, {Latitude: 90, Longitude: 0}, {Latitude: -90, Longitude: 120},
		{Latitude: -16.9, Longitude: 179.99}, {Latitude: -16.9, Longitude: -179.99}, {Latitude: 0, Longitude: 180}, {Latitude: 0, Longitude: -180},
		{Latitude: 65.5, Longitude: -179.5}, {Latitude: -36.85, Longitude: 174.76}, {Latitude: -41.29, Longitude: 174.78},
	}
)

// lot makes a random lot of that name; every fact may be missing.
func (d dice) lot(n int, change uint64) *pb.Lot {
	shop := pick(d, someShops)
	lot := &pb.Lot{
		Name:        fmt.Sprintf("%s/lots/a-%d", shop, n),
		Tag:         fmt.Sprintf("A-%d", n%50),
		Title:       pick(d, someMakes) + " " + pick(d, someModels) + " " + pick(d, someThings),
		Description: pick(d, someNotes) + " " + pick(d, someNotes),
		Make:        pick(d, someMakes), Model: pick(d, someModels), ShopTitle: shopTitles[shop],
		State:    pb.LotState_LOT_STATE_OFFERED,
		Revision: change,
	}
	if d.chance(30) {
		lot.State = pb.LotState(1 + d.IntN(6))
	}
	if d.chance(85) {
		lot.History = []*pb.LotStep{{State: lot.State, Change: uint64(1 + d.IntN(int(change)+1))}}
	}
	d.dress(lot)
	if d.chance(80) {
		lot.Town = d.town()
	}
	if d.chance(60) {
		lot.Price = d.money()
	}
	if d.chance(40) {
		kg := 1 + 1000*d.Float64()
		lot.Weight = &pb.Weight{MassKg: &kg, Grounds: pb.Grounds_GROUNDS_STATED}
	}
	return lot
}

// town is one of some towns, and at times one of many, or one off the globe.
func (d dice) town() *pb.Town {
	switch {
	case d.chance(80):
		return &pb.Town{Point: pick(d, somePoints), CountryCode: pick(d, []string{"", "US", "GB"}), Region: pick(d, []string{"", "OH", "England"}), Name: pick(d, []string{"Dayton", "Leeds"})}
	case d.chance(5):
		return &pb.Town{Point: &pb.Point{Latitude: 91}}
	}
	return &pb.Town{Point: d.point()}
}

// point is anywhere in the eastern half of North America.
func (d dice) point() *pb.Point {
	return &pb.Point{Latitude: 30 + 15*d.Float64(), Longitude: -95 + 20*d.Float64()}
}

func (d dice) money() *pb.Money {
	return &pb.Money{CurrencyCode: pick(d, []string{"USD", "USD", "GBP"}), Units: int64(d.IntN(10) * 100), Nanos: int32(d.IntN(2)) * 500_000_000}
}

// dress gives a lot a kind, a class and typed detail.
func (d dice) dress(lot *pb.Lot) {
	switch d.IntN(6) {
	case 0, 1:
		lot.Kind = pb.Kind_KIND_PRESS
		lot.Class = pb.Class(d.IntN(12))
		press := &pb.PressDetail{Drive: pb.Drive(d.IntN(5))}
		for _, side := range []**pb.Rectangle{&press.Chase, &press.Bed, &press.Platen, &press.Sheet} {
			if d.chance(40) {
				*side = &pb.Rectangle{WidthMm: float64(100 + 50*d.IntN(10)), HeightMm: float64(100 + 50*d.IntN(10))}
			}
		}
		if d.chance(80) {
			lot.Detail = &pb.Lot_Press{Press: press}
		}
	case 2:
		lot.Kind = pb.Kind_KIND_METAL_TYPE
		points := float64(6 * (1 + d.IntN(8)))
		lot.Detail = &pb.Lot_MetalType{MetalType: &pb.MetalTypeDetail{Face: "Corwen Gothic", Size: &pb.TypeSize{Points: &points}}}
	case 3:
		lot.Kind = pb.Kind_KIND_CUTS
		lot.Detail = &pb.Lot_Cuts{Cuts: &pb.CutsDetail{Material: "zinc on wood", Subject: pick(d, []string{"birds", "ships", ""})}}
	case 4:
		lot.Kind = pb.Kind_KIND_WOOD_TYPE
		lines := float64(2 * (1 + d.IntN(8)))
		lot.Detail = &pb.Lot_WoodType{WoodType: &pb.WoodTypeDetail{Face: "Corwen Antique", Scheme: "3A", Size: &pb.TypeSize{Lines: &lines}}}
	default:
		lot.Kind = pb.Kind(6 + d.IntN(8))
		lot.Detail = &pb.Lot_General{General: &pb.GeneralDetail{Material: pick(d, []string{"maple", "brass", ""})}}
		lot.SizeAsWritten = pick(d, []string{"", "10x15", "24 pt"})
	}
}

// filter makes a random filter, resolved.
func (d dice) filter() *pb.LotFilter {
	f := &pb.LotFilter{KnownOnly: d.chance(25)}
	if d.chance(60) {
		for range 1 + d.IntN(2) {
			f.Words += " " + d.asked()
		}
	}
	for d.chance(25) {
		f.Kinds = append(f.Kinds, pb.Kind(1+d.IntN(13)))
	}
	for d.chance(20) {
		f.Classes = append(f.Classes, pb.Class(1+d.IntN(11)))
	}
	for d.chance(40) {
		f.States = append(f.States, pb.LotState(1+d.IntN(6)))
	}
	if d.chance(15) {
		f.Regions = append(f.Regions, pick(d, []string{"US", "US/OH", "GB/England"}), pick(d, []string{"US", "GB"}))
	}
	if d.chance(15) {
		f.Shop = pick(d, someShops)
	}
	if d.chance(20) {
		f.Sheet = &pb.Rectangle{WidthMm: float64(100 + 50*d.IntN(8)), HeightMm: float64(100 + 50*d.IntN(8))}
	}
	if d.chance(20) {
		kg := 1 + 1000*d.Float64()
		f.MaxMassKg = &kg
	}
	if d.chance(20) {
		f.MaxPrice = d.money()
	}
	if d.chance(50) {
		f.Near = d.near()
	}
	return f
}

// near is about one of the towns, or anywhere, and reaches from next door to
// all round the Earth.
func (d dice) near() *pb.Near {
	near := &pb.Near{Point: pick(d, somePoints)}
	if d.chance(50) {
		near.Point = d.point()
	}
	if d.chance(70) {
		km := pick(d, []float64{0.5, 50, 240, 800, 3000, 9000, 25_000})
		near.WithinRoadKm = &km
	}
	return near
}

func (d dice) order(f *pb.LotFilter) pb.LotOrder {
	order := pb.LotOrder(d.IntN(4))
	if order == pb.LotOrder_LOT_ORDER_NEAREST && f.GetNear() == nil {
		return pb.LotOrder_LOT_ORDER_NEWEST
	}
	return order
}

// asked is a word, or a few in quotation marks.
func (d dice) asked() string {
	if d.chance(75) {
		return pick(d, someWords)
	}
	return `"` + pick(d, []string{"platen press", "wood type", "halvorsen KR15", "front room", "old mill", "corwen gothic", "brass rule", "printer's flowers", "presse à épreuves", "metal type", "12 cases"}) + `"`
}
