package search

import (
	"strconv"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// group is a part of a lot's text; how much a word weighs hangs on it.
type group int

// The groups of a lot's text, the heaviest first.
const (
	groupName   group = iota // title, make and model
	groupTag                 // the tag
	groupDetail              // size as written, body size, face, scheme, material, subject
	groupWhat                // the words for its kind, class and drive
	groupAbroad              // what other languages' words say in English
	groupShop                // the shop's title, and its town
	groupNotes               // the description
	groupKin                 // what the vocabulary adds: other names, other units
	groupCount
)

// column is a fact that is kept beside each lot, to be asked or sorted by.
type column int

// The columns. A lot has an empty text in a column that it says nothing about.
const (
	columnTown  column = iota // the town's point
	columnMass                // the least and the most it may weigh
	columnPrice               // what is asked
	columnPress               // what a sheet has to go into
	columnCount
)

// Facts is what searching needs to know of a lot. It is for reading only, and
// may be put to many filters.
type Facts struct {
	name    string
	kind    pb.Kind
	class   pb.Class
	state   pb.LotState
	regions []string // the country, and the country and region
	texts   [groupCount][]string
	runs    [groupCount][]string // what it says, in order
	words   map[string]bool
	columns [columnCount]string
	// posted is the change number by which it was first posted.
	posted uint64
}

// Read takes from a lot what searching needs to know.
func Read(lot *pb.Lot) *Facts {
	f := &Facts{
		name:    lot.GetName(),
		kind:    lot.GetKind(),
		class:   lot.GetClass(),
		state:   lot.GetState(),
		regions: regionsOf(lot.GetTown()),
		words:   map[string]bool{},
	}
	f.texts, f.runs = readTexts(lot)
	for _, tokens := range f.texts {
		for _, token := range tokens {
			f.words[token] = true
		}
	}
	f.columns[columnTown] = writeTown(lot.GetTown())
	f.columns[columnMass] = writeMass(trade.WeightOf(lot))
	f.columns[columnPrice] = writePrice(lot.GetPrice())
	f.columns[columnPress] = writeSpace(trade.SpaceOf(lot))
	f.posted = posted(lot)
	return f
}

// regionsOf lists the regions that a town lies in, as a filter names them.
func regionsOf(town *pb.Town) []string {
	country, region := town.GetCountryCode(), town.GetRegion()
	switch {
	case country == "":
		return nil
	case region == "":
		return []string{country}
	}
	return []string{country, country + "/" + region}
}

// ShopOf is the name of the shop that a lot of that name belongs to.
func ShopOf(lotName string) string {
	name, _, _ := strings.Cut(lotName, "/lots/")
	return name
}

// posted is the change number of a lot's first step, by which newest is told.
func posted(lot *pb.Lot) uint64 {
	if steps := lot.GetHistory(); len(steps) > 0 && steps[0].GetChange() > 0 {
		return steps[0].GetChange()
	}
	return lot.GetRevision()
}

// writeTown writes the point of a town; a point off the globe is none.
func writeTown(town *pb.Town) string {
	point := town.GetPoint()
	if point == nil || !(place.Point{Lat: point.GetLatitude(), Lng: point.GetLongitude()}).Valid() {
		return ""
	}
	return writeNumbers(point.GetLatitude(), point.GetLongitude())
}

func readTown(written string) (p place.Point, ok bool) {
	p.Lat, p.Lng, ok = readNumbers(written)
	return p, ok
}

func writeMass(weight trade.Estimate) string {
	if !weight.Known {
		return ""
	}
	return writeNumbers(weight.LowKg, weight.HighKg)
}

// writeNumbers writes two numbers so that they are read back exactly.
func writeNumbers(a, b float64) string {
	return strconv.FormatFloat(a, 'g', -1, 64) + " " + strconv.FormatFloat(b, 'g', -1, 64)
}

func readNumbers(written string) (a, b float64, ok bool) {
	first, second, ok := strings.Cut(written, " ")
	a, _ = strconv.ParseFloat(first, 64)
	b, _ = strconv.ParseFloat(second, 64)
	return a, b, ok
}

func writePrice(price *pb.Money) string {
	if price == nil {
		return ""
	}
	return price.GetCurrencyCode() + " " + strconv.FormatInt(price.GetUnits(), 10) + " " + strconv.FormatInt(int64(price.GetNanos()), 10)
}

func readPrice(written string) *pb.Money {
	parts := strings.Split(written, " ")
	if len(parts) != 3 {
		return nil
	}
	units, _ := strconv.ParseInt(parts[1], 10, 64)
	nanos, _ := strconv.ParseInt(parts[2], 10, 32)
	return &pb.Money{CurrencyCode: parts[0], Units: units, Nanos: int32(nanos)}
}

// writeSpace writes what a sheet has to go into: a letter for what is known of
// it, and its sides. What is no press, or prints nothing, is written empty.
func writeSpace(s trade.PrintSpace) string {
	switch {
	case !s.Prints:
		return ""
	case !s.Known:
		return "?"
	case s.Sure:
		return "s " + writeNumbers(s.ShortMm, s.LongMm)
	}
	return "b " + writeNumbers(s.ShortMm, s.LongMm)
}

func readSpace(written string) trade.PrintSpace {
	letter, sides, _ := strings.Cut(written, " ")
	s := trade.PrintSpace{Prints: written != "", Sure: letter == "s"}
	s.ShortMm, s.LongMm, s.Known = readNumbers(sides)
	return s
}

// fact is what a column says of a lot, read.
type fact struct {
	known         bool // of weight
	lowKg, highKg float64
	price         *pb.Money
	space         trade.PrintSpace
}

// readFact reads what is written in a column.
func readFact(c column, written string) (f fact) {
	switch c {
	case columnMass:
		f.lowKg, f.highKg, f.known = readNumbers(written)
	case columnPrice:
		f.price = readPrice(written)
	case columnPress:
		f.space = readSpace(written)
	}
	return f
}
