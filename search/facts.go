package search

import (
	"encoding/base64"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"

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
	groupPairs               // tokens that stand side by side; they only rank
	groupCount

	// wordGroups are the groups that a word may stand in.
	wordGroups = groupPairs
)

// column is a fact that is kept beside each lot, to be asked or sorted by.
type column int

// The columns. A lot has an empty text in a column that it says nothing about.
const (
	columnTown   column = iota // the town's point
	columnMass                 // the least and the most it may weigh
	columnPrice                // what is asked
	columnPress                // what the sheet it prints hangs on
	columnPosted               // when it was first posted, as a change number
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
	words   map[string]bool
	columns [columnCount]string
}

// Read takes from a lot what searching needs to know.
func Read(lot *pb.Lot) *Facts {
	f := &Facts{
		name:    lot.GetName(),
		kind:    lot.GetKind(),
		class:   lot.GetClass(),
		state:   lot.GetState(),
		regions: regionsOf(lot.GetTown()),
		texts:   readTexts(lot),
		words:   map[string]bool{},
	}
	for _, tokens := range f.texts[:wordGroups] {
		for _, token := range tokens {
			f.words[token] = true
		}
	}
	f.columns[columnTown] = writeTown(lot.GetTown())
	f.columns[columnMass] = writeMass(trade.WeightOf(lot))
	f.columns[columnPrice] = writePrice(lot.GetPrice())
	f.columns[columnPress] = writePress(lot)
	f.columns[columnPosted] = writePosted(posted(lot))
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

// shop is the name of the shop that a lot of that name belongs to.
func shop(lotName string) string {
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

func writePosted(change uint64) string { return strconv.FormatUint(change, 36) }

func readPosted(written string) uint64 {
	change, _ := strconv.ParseUint(written, 36, 64)
	return change
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

// writePress keeps of a press what trade.CanPrint looks at. What is no press is
// written empty: it prints nothing.
func writePress(lot *pb.Lot) string {
	if lot.GetKind() != pb.Kind_KIND_PRESS {
		return ""
	}
	press := &pb.Lot{Kind: lot.GetKind(), Class: lot.GetClass()}
	if d := lot.GetPress(); d != nil {
		press.Detail = &pb.Lot_Press{Press: &pb.PressDetail{
			Chase: d.GetChase(), Bed: d.GetBed(), Platen: d.GetPlaten(), Sheet: d.GetSheet(),
		}}
	}
	wire, err := proto.MarshalOptions{Deterministic: true}.Marshal(press)
	if err != nil {
		return "" // Only invalid UTF-8 fails, and there is no text in it.
	}
	return base64.RawStdEncoding.EncodeToString(wire)
}

func readPress(written string) *pb.Lot {
	lot := &pb.Lot{}
	if wire, err := base64.RawStdEncoding.DecodeString(written); err == nil {
		_ = proto.Unmarshal(wire, lot)
	}
	return lot
}
