package search

import (
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf8"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// fewTowns is a gazetteer of three names, which answers at once.
func fewTowns(name string) (place.Town, error) {
	switch dayton := (place.Town{Name: "Dayton", Region: "OH", Country: "US", Population: 1}); strings.ToLower(name) {
	case "dayton":
		return dayton, nil
	case "toledo":
		return place.Town{}, &place.AmbiguousError{Query: name, Choices: []place.Town{dayton, dayton}}
	case "ohio":
		return place.Town{}, &place.UnknownError{Query: name, Instead: "a state of the United States", Near: []place.Town{dayton}}
	}
	return place.Town{}, &place.UnknownError{Query: name}
}

// someGiven is a filter with some of the parts given, one for each bit.
func someGiven(words string, parts byte) *pb.LotFilter {
	f := wordsAlone(words)
	give := []func(){
		func() { f.MaxMassKg = proto.Float64(1) },
		func() { f.MaxPrice = &pb.Money{CurrencyCode: "USD", Units: 1} },
		func() { f.Sheet = &pb.Rectangle{WidthMm: 1, HeightMm: 1} },
		func() { f.Near = &pb.Near{Place: "Leeds, England"} },
		func() { f.Near = &pb.Near{Place: "Leeds, England", WithinRoadKm: proto.Float64(1)} },
		func() { f.Regions = []string{"GB"} },
		func() { f.Kinds = []pb.Kind{pb.Kind_KIND_CUTS} },
	}
	for i, part := range give {
		if parts>>i&1 == 1 {
			part()
		}
	}
	return f
}

// understandingHolds reads words, and tests what Understand promises: what is
// understood may be searched by, what the filter gives wins, the filter is not
// changed, and reading once more changes no part that was read.
func understandingHolds(t testing.TB, words string, parts byte) {
	given := someGiven(words, parts)
	u := understand(given, fewTowns)
	for _, v := range Validate(u.Filter) {
		if v.Field != "words" {
			t.Fatalf("%q is understood as %v: %s %s", words, u.Filter, v.Field, v.Description)
		}
	}
	if len(u.Said) > len(clauses) || len(u.Filter.GetWords()) > len(words) {
		t.Fatalf("%q says %v and leaves %q", words, u.Said, u.Filter.GetWords())
	}
	if utf8.ValidString(words) && !utf8.ValidString(u.Filter.GetWords()+u.Sentence()) {
		t.Fatalf("%q is understood as %q, %q", words, u.Filter.GetWords(), u.Sentence())
	}
	if !proto.Equal(given, someGiven(words, parts)) {
		t.Fatalf("%q: the filter was changed to %v", words, given)
	}
	keeps(t, given, u.Filter)
	keeps(t, u.Filter, understand(u.Filter, fewTowns).Filter)
}

// keeps asks that a filter still has all the parts that it had, but for words.
func keeps(t testing.TB, before, after *pb.LotFilter) {
	merged := proto.CloneOf(after)
	merged.Words = before.GetWords()
	if before.GetNear() != nil && before.Near.WithinRoadKm == nil && merged.GetNear() != nil {
		merged.Near.WithinRoadKm = nil // How near may be in the words.
	}
	blank := &pb.LotFilter{Words: before.GetWords()}
	for _, part := range []struct {
		given bool
		keep  func()
	}{
		{before.MaxMassKg != nil, func() { blank.MaxMassKg = merged.MaxMassKg }},
		{before.MaxPrice != nil, func() { blank.MaxPrice = merged.MaxPrice }},
		{before.Sheet != nil, func() { blank.Sheet = merged.Sheet }},
		{before.Near != nil, func() { blank.Near = merged.Near }},
		{before.Regions != nil, func() { blank.Regions = merged.Regions }},
		{before.Kinds != nil, func() { blank.Kinds = merged.Kinds }},
	} {
		if part.given {
			part.keep()
		}
	}
	if !proto.Equal(blank, before) {
		t.Fatalf("%v became %v", before, after)
	}
}

// asked are searches that say more than words.
var asked = []string{
	"platen within 200 miles of Toledo under 500 lb", "press near Leeds, England within 80 km", "max price 500 euros", "sheet of 10 by 15 in",
	"in the UK", "only presses", "$1 or less", "under $1.2.3", "within 99999 km of Dayton", "under 0 lb", "x × 1/0", "prints 1/0 x 2", "near (", "near 39.7,-84.1", "in \xff",
	"under half a ton", "within two hundred and five miles of Dayton", "press for A3 paper", "unter 700 kg bei Dayton", "\"wood type\" near Dayton",
}

// What is understood is a filter that may be searched by, whatever is typed and
// whatever the filter gives already.
func FuzzUnderstand(f *testing.F) {
	for i, words := range asked {
		f.Add(words, byte(i*37))
	}
	f.Fuzz(func(t *testing.T, words string, parts byte) { understandingHolds(t, words, parts) })
}

// askedPieces are what a mutation puts in: what matters to clauses.
var askedPieces = []string{
	" ", ",", "(", ")", ";", ".", "-", "/", "\"", "\x00", "\xff", "½", "×", "é", "Ä", "°", " within ", " near ", " under ", " in ", " of ", " for a ", " prints ", " only ",
	" 200 miles", " 80 km", " half a ton", " 500 lb", " $900", "€", " or less", "12x18", " sheet", " A4", " Dayton", " Toledo", " Ohio", " the UK", " press", "0", "9999999999", "1.2.3",
	" unter ", " two hundred ", " max price ", " kind:",
}

// mutatedWords is a search changed at random in up to four places.
func mutatedWords(chance *rand.Rand) string {
	words := asked[chance.IntN(len(asked))]
	for range 1 + chance.IntN(4) {
		at := chance.IntN(len(words) + 1)
		end := min(at+chance.IntN(8), len(words))
		piece := askedPieces[chance.IntN(len(askedPieces))]
		switch chance.IntN(4) {
		case 0:
			words = words[:at] + words[end:]
		case 1:
			words = words[:at] + piece + words[at:]
		case 2:
			words = words[:at] + piece + words[end:]
		case 3:
			words = words[:at] + string([]byte{byte(chance.Uint32())}) + words[end:]
		}
	}
	return words
}

// BenchmarkUnderstandMutated reads searches that were changed at random, and
// holds each against what FuzzUnderstand holds: a fuzzing without guidance, for
// great numbers.
func BenchmarkUnderstandMutated(b *testing.B) {
	b.RunParallel(func(p *testing.PB) {
		chance := rand.New(rand.NewPCG(rand.Uint64(), rand.Uint64()))
		for p.Next() {
			understandingHolds(b, mutatedWords(chance), byte(chance.Uint32()))
		}
	})
}
