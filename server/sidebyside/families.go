package main

import (
	"math/rand/v2"
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
	"heirpress/search/trade"
	"heirpress/server/sidebyside/lots"
)

// family is a kind of search that people make. Each number makes another search
// of it.
type family struct {
	name string
	make func(f *finder) *pb.SearchLotsRequest
	// alike says what must be the same wherever it is asked.
	alike likeness
	// goal is the slowest that heirpress's p99 may be, in milliseconds; 0: none.
	goal float64
}

// likeness is what of two answers must be equal for them to be the same.
type likeness int

const (
	// alikeTotals: both rank as they see fit, but find as many.
	alikeTotals likeness = iota
	// alikeOrder: the same lots in the same order, or where that is by distance,
	// the same distances: many lots are in one town.
	alikeOrder
	// alikeSlips: each corrects in its own way; how often they agree is told.
	alikeSlips
)

// families are what is measured, in the order of the table.
var families = []family{
	{"two words", (*finder).twoWords, alikeTotals, 25},
	{"text, kind, 150 miles", (*finder).textKindPlace, alikeTotals, 15},
	{"nearest of all", (*finder).nearestOfAll, alikeOrder, 20},
	{"nearest of a kind", (*finder).nearestOfKind, alikeOrder, 20},
	{"slips", (*finder).slip, alikeSlips, 0},
	{"prefix", (*finder).beginning, alikeTotals, 0},
	{"half of all", (*finder).half, alikeTotals, 0},
	{"broadest with facets", (*finder).broadest, alikeOrder, 60},
	{"sheet and weight", (*finder).sheetAndWeight, alikeOrder, 0},
	{"newest", (*finder).newest, alikeOrder, 0},
}

// steadyFamilies is how many of the first are measured again while lots are
// being posted.
const steadyFamilies = 3

// familyNames is the names; a comma parts them in a call, so they go without.
func familyNames() []string {
	var names []string
	for _, f := range families {
		names = append(names, f.flag())
	}
	return names
}

// familyNamed is a family that there is.
func familyNamed(name string) family {
	return families[slices.IndexFunc(families, func(f family) bool { return f.name == name })]
}

// flag is the family's name without commas.
func (f family) flag() string { return strings.ReplaceAll(f.name, ",", "") }

// searches makes the searches of all families over so many lots.
type searches struct {
	lots *lots.Generator
	seed uint64
	many int
}

// of makes the search of a number.
func (s searches) of(f family, number int) *pb.SearchLotsRequest {
	var stream uint64 = 1 << 40
	for _, letter := range f.name {
		stream = stream*31 + uint64(letter)
	}
	stream += uint64(number)
	shops := max(1, min(mostShopsToDraw, s.many/lotsInShop))
	return f.make(&finder{Rand: lots.Dice(s.seed, stream), lots: s.lots, stream: stream, shops: shops})
}

// finder is somebody who looks for something.
type finder struct {
	*rand.Rand
	lots   *lots.Generator
	stream uint64
	shops  int // from how many words are taken
}

const (
	// mostShopsToDraw is from how many shops words are taken, at most.
	mostShopsToDraw = 250
	// lotsInShop is how many lots make sure of another shop: some have hundreds,
	// most have less.
	lotsInShop = 150
)

// lot is any lot, as it was posted, that says something in words.
func (f *finder) lot() *pb.Lot {
	shop := f.lots.Shop(f.IntN(f.shops))
	return shop.Lots[f.IntN(len(shop.Lots))]
}

// wordsOf lists the words of a lot that it is found by as they stand: letters
// alone, and one token each.
func wordsOf(lot *pb.Lot) []string {
	var all []string
	tokens := slices.Concat(search.Read(lot).Tokens()...)
	for _, word := range strings.FieldsFunc(lot.GetTitle()+" "+lot.GetDescription(), func(r rune) bool { return !isLetter(r) }) {
		word = strings.ToLower(word)
		folded := search.Analyze(word)
		if len(word) >= 4 && len(folded) == 1 && slices.Contains(tokens, folded[0]) && !slices.Contains(all, word) {
			all = append(all, word)
		}
	}
	return all
}

func isLetter(r rune) bool { return 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' }

// someWords is words that stand together in a lot.
func (f *finder) someWords(many int) []string {
	for {
		words := wordsOf(f.lot())
		if len(words) >= many {
			f.Shuffle(len(words), func(i, j int) { words[i], words[j] = words[j], words[i] })
			return words[:many]
		}
	}
}

// near is a town where somebody looks, on the mainland of either continent.
func (f *finder) near(withinMiles float64) *pb.Near {
	for n := f.stream; ; n += 1 << 50 {
		town := f.lots.Town(n)
		if !mainland(town.Point) {
			continue
		}
		near := &pb.Near{Place: town.Label(), Point: &pb.Point{Latitude: town.Point.Lat, Longitude: town.Point.Lng}}
		if withinMiles > 0 {
			near.WithinRoadKm = proto.Float64(withinMiles * place.KmPerMile)
		}
		return near
	}
}

// mainland tells whether a point is well inside of North America or Europe,
// roughly.
func mainland(p place.Point) bool {
	america := p.Lat > 25 && p.Lat < 50 && p.Lng > -125 && p.Lng < -66
	europe := p.Lat > 36 && p.Lat < 60 && p.Lng > -9 && p.Lng < 25
	return america || europe
}

func (f *finder) twoWords() *pb.SearchLotsRequest {
	return &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: strings.Join(f.someWords(2), " ")}}
}

func (f *finder) textKindPlace() *pb.SearchLotsRequest {
	lot := f.lot()
	for len(wordsOf(lot)) == 0 {
		lot = f.lot()
	}
	words := wordsOf(lot)
	return &pb.SearchLotsRequest{Filter: &pb.LotFilter{
		Words: words[f.IntN(len(words))], Kinds: []pb.Kind{lot.GetKind()}, Near: f.near(150)}}
}

func (f *finder) nearestOfAll() *pb.SearchLotsRequest {
	return &pb.SearchLotsRequest{Filter: &pb.LotFilter{Near: f.near(0)}, Order: pb.LotOrder_LOT_ORDER_NEAREST}
}

func (f *finder) nearestOfKind() *pb.SearchLotsRequest {
	kinds := []pb.Kind{pb.Kind_KIND_PRESS, pb.Kind_KIND_WOOD_TYPE, pb.Kind_KIND_CABINETS, pb.Kind_KIND_CUTTERS, pb.Kind_KIND_STONES, pb.Kind_KIND_CASTERS}
	r := f.nearestOfAll()
	r.Filter.Kinds = []pb.Kind{kinds[f.IntN(len(kinds))]}
	return r
}

// slip is a long word with a slip in it: a letter left out, put in, mistaken or
// swapped with the next.
func (f *finder) slip() *pb.SearchLotsRequest {
	for {
		word := f.someWords(1)[0]
		if len(word) < 6 {
			continue
		}
		at := 1 + f.IntN(len(word)-2)
		letter := string(rune('a' + f.IntN(26)))
		slipped := []string{
			word[:at] + word[at+1:], word[:at] + letter + word[at:], word[:at] + letter + word[at+1:],
			word[:at] + word[at+1:at+2] + word[at:at+1] + word[at+2:],
		}[f.IntN(4)]
		if slipped != word {
			return &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: slipped}}
		}
	}
}

// beginning is how a word begins; at times with a whole word beside it.
func (f *finder) beginning() *pb.SearchLotsRequest {
	words := f.someWords(2)
	text := words[0][:3+f.IntN(2)] + "*"
	if f.IntN(2) == 0 {
		text = words[1] + " " + text
	}
	return &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: text}}
}

// half is a word that about half of all lots have, and kinds that all of those
// are among.
func (f *finder) half() *pb.SearchLotsRequest {
	return &pb.SearchLotsRequest{Filter: &pb.LotFilter{
		Words: "type", Kinds: f.kinds(pb.Kind_KIND_METAL_TYPE, pb.Kind_KIND_WOOD_TYPE)}}
}

// kinds is some kinds, and those that must be among them.
func (f *finder) kinds(with ...pb.Kind) []pb.Kind {
	for k := pb.Kind_KIND_PRESS; k <= pb.Kind_KIND_OTHER; k++ {
		if !slices.Contains(with, k) && f.IntN(2) == 0 {
			with = append(with, k)
		}
	}
	return with
}

// broadest is every lot there is, from somewhere or the newest first, sorted.
func (f *finder) broadest() *pb.SearchLotsRequest {
	if f.IntN(2) == 0 {
		r := f.nearestOfAll()
		r.Facets = true
		return r
	}
	r := &pb.SearchLotsRequest{Filter: &pb.LotFilter{}, Order: pb.LotOrder_LOT_ORDER_NEWEST, Facets: true}
	for s := pb.LotState_LOT_STATE_OFFERED; s <= pb.LotState_LOT_STATE_WITHDRAWN; s++ {
		if s == pb.LotState_LOT_STATE_OFFERED || f.IntN(2) == 0 {
			r.Filter.States = append(r.Filter.States, s)
		}
	}
	r.PageSize = int32(10 + f.IntN(21))
	return r
}

func (f *finder) sheetAndWeight() *pb.SearchLotsRequest {
	inch := func(least, more int) float64 { return trade.MmPerInch * float64(least+f.IntN(more)) }
	return &pb.SearchLotsRequest{
		Filter: &pb.LotFilter{
			Sheet:     &pb.Rectangle{WidthMm: inch(3, 14), HeightMm: inch(4, 20)},
			MaxMassKg: proto.Float64(float64(20 * (2 + f.IntN(70)))),
		},
		Order: pb.LotOrder_LOT_ORDER_NEWEST,
	}
}

func (f *finder) newest() *pb.SearchLotsRequest {
	return &pb.SearchLotsRequest{
		Filter: &pb.LotFilter{Kinds: f.kinds(pb.Kind_KIND_METAL_TYPE)}, Order: pb.LotOrder_LOT_ORDER_NEWEST, PageSize: int32(10 + f.IntN(21))}
}
