package standing

import (
	"slices"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
)

// want is a filter in as little room as it needs. It has no pointers, so that a
// million of them are nothing to the garbage collector.
type want struct {
	list uint32 // by number; see lists
	next uint32 // the next want of the list, and 1; 0 for the last

	words    [3]uint32 // the first of them, by number
	more     uint32    // the number, and 1, of what has no room here; 0 for nothing
	at       uint32    // where near is, by number
	currency uint32    // of the most it may cost, by number
	units    int64
	nanos    int32
	kinds    uint16 // a bit for each; 0 for any
	says     says
	classes  uint64 // a bit for each; 0 for any
	withinKm float64
	mostKg   float64

	states  uint8 // a bit for each
	ordinal uint8 // which want of the list it is
	count   uint8 // of words here
	filed   uint8 // under what; see key
}

// says tells which parts of a filter are given.
type says uint16

const (
	saysNear says = 1 << iota
	saysMass
	saysPrice
	saysKnownOnly
	saysMark   // the caller's
	saysPlaced // filed together with where it looks
)

// extra is what few filters say.
type extra struct {
	words   []uint32 // beyond the first three
	regions []uint32 // by number
	shop    uint32   // by number, and 1; 0 for any
	sheet   *pb.Rectangle
	// whole is asked itself, where the rest does not say all; written is what it
	// was compiled from.
	whole   *search.Filter
	written *pb.LotFilter
}

func (e *extra) empty() bool {
	return len(e.words) == 0 && len(e.regions) == 0 && e.shop == 0 && e.sheet == nil && e.whole == nil
}

// plain are the fields of a filter that a want can hold.
var plain = []protoreflect.Name{
	"words", "kinds", "classes", "near", "sheet", "max_mass_kg", "max_price", "states", "shop", "known_only", "regions",
}

// holdable tells whether a want can hold a filter, and, if not, whether what it
// says of words, kinds, classes, shop and place can still be relied upon to narrow it.
func holdable(f *pb.LotFilter, compiled *search.Filter) (all, narrows bool) {
	narrows = len(f.ProtoReflect().GetUnknown()) == 0
	f.ProtoReflect().Range(func(field protoreflect.FieldDescriptor, _ protoreflect.Value) bool {
		narrows = narrows && slices.Contains(plain, field.Name())
		return narrows
	})
	all = narrows && compiled.OnlyWords() &&
		inBits(f.GetKinds(), 16) && inBits(f.GetClasses(), 64) && inBits(f.GetStates(), 8)
	return all, narrows
}

// inBits tells whether each value has a bit in a word of so many.
func inBits[E ~int32](values []E, size E) bool {
	return !slices.ContainsFunc(values, func(v E) bool { return v < 0 || v >= size })
}

func setOf[E ~int32](values []E) (set uint64) {
	for _, v := range values {
		set |= bit(v)
	}
	return set
}

// bit is the bit of one value; none for what has no place in a word.
func bit[E ~int32](v E) uint64 {
	if v < 0 || v >= 64 {
		return 0
	}
	return 1 << v
}

// pack makes a want of a filter and numbers its texts.
func (w *Wants) pack(a Ask) (want, extra) {
	f := a.Filter
	if f == nil {
		f = new(pb.LotFilter)
	}
	packed, more := want{}, extra{}
	if a.Marked {
		packed.says |= saysMark
	}
	compiled := search.Compile(f)
	all, narrows := holdable(f, compiled)
	if !all {
		more.whole, more.written = compiled, f
	}
	if narrows {
		w.packWords(compiled.Words(), &packed, &more)
		w.packWhere(f, &packed, &more)
		w.packWhat(f, &packed, &more)
	}
	if all {
		w.packMeasures(f, &packed, &more)
	}
	return packed, more
}

func (w *Wants) packWhere(f *pb.LotFilter, packed *want, more *extra) {
	if p := f.GetNear().GetPoint(); p != nil {
		packed.says |= saysNear
		packed.at = w.points.use(place.Point{Lat: p.GetLatitude(), Lng: p.GetLongitude()})
	}
	packed.withinKm = f.GetNear().GetWithinRoadKm()
	for _, region := range f.GetRegions() {
		more.regions = append(more.regions, w.words.use(regionText+region))
	}
}

func (w *Wants) packWhat(f *pb.LotFilter, packed *want, more *extra) {
	if inBits(f.GetKinds(), 16) {
		packed.kinds = uint16(setOf(f.GetKinds()))
	}
	if inBits(f.GetClasses(), 64) {
		packed.classes = setOf(f.GetClasses())
	}
	if f.GetShop() != "" {
		more.shop = w.words.use(shopText+f.GetShop()) + 1
	}
}

func (w *Wants) packWords(tokens []string, packed *want, more *extra) {
	for i, token := range tokens {
		n := w.words.use(wordText + token)
		if i < len(packed.words) {
			packed.words[i], packed.count = n, packed.count+1
		} else {
			more.words = append(more.words, n)
		}
	}
}

func (w *Wants) packMeasures(f *pb.LotFilter, packed *want, more *extra) {
	packed.states = uint8(setOf(f.GetStates()))
	if len(f.GetStates()) == 0 {
		packed.states = uint8(bit(pb.LotState_LOT_STATE_OFFERED))
	}
	if f.MaxMassKg != nil {
		packed.says |= saysMass
		packed.mostKg = f.GetMaxMassKg()
	}
	if price := f.GetMaxPrice(); price != nil {
		packed.says |= saysPrice
		packed.units, packed.nanos = price.GetUnits(), price.GetNanos()
		packed.currency = w.words.use(moneyText + price.GetCurrencyCode())
	}
	if f.GetKnownOnly() {
		packed.says |= saysKnownOnly
	}
	if f.GetSheet() != nil {
		more.sheet = proto.CloneOf(f.GetSheet())
	}
}

// Texts of different sorts begin with a letter that tells them apart.
const (
	wordText   = "w"
	regionText = "r"
	shopText   = "h"
	moneyText  = "m"
)

// texts calls each with every number that a want holds, as often as it does.
func (w *Wants) texts(one *want, each func(uint32)) {
	for _, n := range one.words[:one.count] {
		each(n)
	}
	if one.says&saysPrice != 0 {
		each(one.currency)
	}
	if one.more == 0 {
		return
	}
	more := &w.extras.all[one.more-1]
	for _, n := range more.words {
		each(n)
	}
	for _, n := range more.regions {
		each(n)
	}
	if more.shop != 0 {
		each(more.shop - 1)
	}
}
