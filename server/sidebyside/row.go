package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
	"heirpress/search/trade"
	"heirpress/server/record"
	"heirpress/server/sidebyside/lots"
)

// row is a lot as a database keeps it.
type row struct {
	// id is the change number it was posted under: newest is told by it.
	id                 int64
	name               string
	wire               []byte
	state, kind, class int
	region             int // its place in regionNames
	town               int // its place in townPoints
	point              place.Point
	// leastKg is the least it may weigh; nil where nobody knows.
	leastKg *float64
	// printLong and printShort are the sides of what a press prints; nil where
	// that is not known, and where prints is false.
	prints                bool
	printLong, printShort *float64
	// words are its tokens: name; detail and what it is; shop; all the rest.
	words [wordColumns][]string
}

// wordColumns is how many weights words have: a tsvector knows four.
const wordColumns = 4

// columnOf is the column that each group of search.Facts.Tokens goes to.
var columnOf = [...]int{0, 1, 1, 1, 3, 2, 3, 3}

// rowOf reads a lot as heirpress lists it.
func rowOf(lot *pb.Lot) (*row, error) {
	r := &row{
		name: lot.GetName(), state: int(lot.GetState()), kind: int(lot.GetKind()), class: int(lot.GetClass()),
		region: regionOf(lot.GetTown()),
		point:  pointOf(lot.GetTown().GetPoint()),
	}
	if steps := lot.GetHistory(); len(steps) > 0 {
		r.id = int64(steps[0].GetChange())
	}
	if r.id == 0 || lot.GetTown() == nil {
		return nil, fmt.Errorf("%s has no first change or no town", lot.GetName())
	}
	var known bool
	if r.town, known = townNumbers()[r.point]; !known {
		return nil, fmt.Errorf("%s stands in no town of the gazetteer", lot.GetName())
	}
	if w := trade.WeightOf(lot); w.Known {
		r.leastKg = &w.LowKg
	}
	r.readSheet(lot)
	groups := search.Read(lot).Tokens()
	if len(groups) != len(columnOf) {
		return nil, fmt.Errorf("lots have %d groups of tokens, and columns are known for %d", len(groups), len(columnOf))
	}
	for g, tokens := range groups {
		r.words[columnOf[g]] = append(r.words[columnOf[g]], tokens...)
	}
	var err error
	r.wire, err = record.Body(lot)
	return r, err
}

// readSheet reads what a press prints.
func (r *row) readSheet(lot *pb.Lot) {
	space := trade.SpaceOf(lot)
	if r.prints = space.Prints; space.Known {
		r.printLong, r.printShort = &space.LongMm, &space.ShortMm
	}
}

// slackMm is how much larger than the space a sheet may be, as package trade has
// it.
const slackMm = 1

func sidesOf(r *pb.Rectangle) (long, short float64) {
	return max(r.GetWidthMm(), r.GetHeightMm()), min(r.GetWidthMm(), r.GetHeightMm())
}

// unit is a point on a ball of radius 1; the nearer two are, the greater the sum
// of their products.
func unit(p place.Point) (x, y, z float64) {
	const rad = math.Pi / 180
	lat, lng := p.Lat*rad, p.Lng*rad
	return math.Cos(lat) * math.Cos(lng), math.Cos(lat) * math.Sin(lng), math.Sin(lat)
}

// townPoints is where the towns of the gazetteer are, and townNumbers the way
// back. Towns that share a point share a number.
var townPoints = sync.OnceValue(func() (all []place.Point) {
	for town := range place.Towns() {
		all = append(all, town.Point)
	}
	return all
})

var townNumbers = sync.OnceValue(func() map[place.Point]int {
	all := map[place.Point]int{}
	for i, point := range townPoints() {
		all[point] = i
	}
	return all
})

// regionNames is every region of the gazetteer as a filter names it, and so each
// has a number that is always the same; regionNumbers is the way back.
var regionNames = sync.OnceValue(func() []string {
	var all []string
	seen := map[string]bool{}
	for town := range place.Towns() {
		if name := regionName(town.Country, town.Region); !seen[name] {
			seen[name] = true
			all = append(all, name)
		}
	}
	slices.Sort(all)
	return all
})

var regionNumbers = sync.OnceValue(func() map[string]int {
	all := map[string]int{}
	for i, name := range regionNames() {
		all[name] = i
	}
	return all
})

func regionName(country, region string) string { return strings.TrimSuffix(country+"/"+region, "/") }

func regionOf(town *pb.Town) int {
	return regionNumbers()[regionName(town.GetCountryCode(), town.GetRegion())]
}

// sorts adds up counts by kind, class and region into facets as heirpress gives
// them.
type sorts map[string]int

func (s sorts) add(kind, class, region, count int) {
	s[pb.Kind(kind).String()] += count
	if class != 0 {
		s[pb.Class(class).String()] += count
	}
	name := regionNames()[region]
	country, _, divided := strings.Cut(name, "/")
	s[country] += count
	if divided {
		s[name] += count
	}
}

// freshRows makes rows out of shops that nobody has posted, as if they had been:
// what a rival is given while lots are posted steadily. Their ids are above all
// others.
type freshRows struct {
	lots *lots.Generator
	next int
	id   int64
	left []*pb.Lot
}

const firstFreshID = 1 << 40

func (f *freshRows) take(many int) (rows []*row, err error) {
	for len(rows) < many {
		if len(f.left) == 0 {
			shop := f.lots.Shop(firstFresh + f.next)
			f.next++
			for n, lot := range shop.Lots {
				lot.Name = fmt.Sprintf("shops/fresh-%d/lots/%d", f.next, n)
				lot.Town, lot.ShopTitle = shop.Town.Message(), shop.Shop.GetTitle()
				f.left = append(f.left, lot)
			}
		}
		lot := f.left[0]
		f.left = f.left[1:]
		lot.History = []*pb.LotStep{{State: lot.GetState(), Change: uint64(firstFreshID + f.id)}}
		f.id++
		r, err := rowOf(proto.CloneOf(lot))
		if err != nil {
			return nil, err
		}
		rows = append(rows, r)
	}
	return rows, nil
}
