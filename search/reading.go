package search

import (
	"iter"
	"maps"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// What package standing needs of a filter and of a lot that was read, to hold
// many filters in little room and yet agree with Admits.

// Signature names the rules by which texts become tokens: whatever was made of
// tokens is stale where it was made under another signature.
func Signature() string { return signature() }

// Words are the tokens that a lot must have, each once. For reading only.
func (f *Filter) Words() []string { return f.words }

// OnlyWords tells whether Words is all that is asked of a lot's texts: there are
// no words of which only the beginning was given, and none that must stand
// together.
func (f *Filter) OnlyWords() bool { return len(f.beginnings) == 0 && len(f.pairs) == 0 }

// Name is the lot's resource name.
func (f *Facts) Name() string { return f.name }

// Shop is the name of the lot's shop.
func (f *Facts) Shop() string { return ShopOf(f.name) }

// Kind is the lot's kind.
func (f *Facts) Kind() pb.Kind { return f.kind }

// Class is the lot's class.
func (f *Facts) Class() pb.Class { return f.class }

// State is the lot's state.
func (f *Facts) State() pb.LotState { return f.state }

// Regions are the regions that the lot lies in, as a filter names them. For
// reading only.
func (f *Facts) Regions() []string { return f.regions }

// Words are the tokens that a filter's words may meet, each once, in no order.
func (f *Facts) Words() iter.Seq[string] { return maps.Keys(f.words) }

// Town is where the lot is, if that is known.
func (f *Facts) Town() (place.Point, bool) { return readTown(f.columns[columnTown]) }

// LeastKg is the least that the lot may weigh, if anything is known of that.
func (f *Facts) LeastKg() (kg float64, known bool) {
	kg, _, known = readNumbers(f.columns[columnMass])
	return kg, known
}

// Price is what is asked for the lot; nil if nobody has said.
func (f *Facts) Price() *pb.Money { return readPrice(f.columns[columnPrice]) }

// Space is what a sheet has to go into.
func (f *Facts) Space() trade.PrintSpace { return readSpace(f.columns[columnPress]) }
