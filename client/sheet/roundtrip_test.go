package sheet

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// The generators here make what a person can enter, and no more: texts without
// space around them, figures as people write them, a kind for every lot.

// awkward has what breaks formats: quotes, colons, marks of YAML, formulas,
// words that YAML takes for something else, letters of other scripts.
var awkward = []string{
	"a", "Z", "7", " ", "  ", ",", ";", ":", ": ", " #", "'", `"`, "-", "- ", "=", "+", "@", "&", "*", "!", "?", "|", ">", "%", "`",
	"{", "}", "[", "]", "\\", "/", "~", "null", "yes", "true", "1,350", "0x1", "2027-01-31", "é", "ß", "漢", "🖨", "\u00a0", "\u2028", "\ufeff", "\u0085", "\x00", "\x1b", "\x7f",
}

func textGen(more ...string) *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		parts := rapid.SliceOfN(rapid.SampledFrom(append(awkward, more...)), 1, 8).Draw(t, "parts")
		return strings.TrimSpace(strings.Join(parts, ""))
	})
}

// one is a text of one line; sometimes empty.
func one(t *rapid.T, name string) string { return line(textGen().Draw(t, name)) }

// many is a text that may have several lines; sometimes empty.
func many(t *rapid.T, name string) string { return textGen("\n", "\n\n", "\t").Draw(t, name) }

func maybe[T any](t *rapid.T, name string, gen *rapid.Generator[T]) *T {
	if !rapid.Bool().Draw(t, "has "+name) {
		return nil
	}
	v := gen.Draw(t, name)
	return &v
}

// figureGen makes figures of up to two decimals in one of the units.
func figureGen(units []unit, most int) *rapid.Generator[float64] {
	return rapid.Custom(func(t *rapid.T) float64 {
		n := rapid.IntRange(1, most*100).Draw(t, "hundredths")
		u := rapid.SampledFrom(units).Draw(t, "unit")
		return math.Round(float64(n)/100*u.per*1e9) / 1e9
	})
}

func massGen() *rapid.Generator[float64]   { return figureGen(massUnits, 5000) }
func lengthGen() *rapid.Generator[float64] { return figureGen(lengthUnits, 300) }

func rectangle(t *rapid.T, name string) *pb.Rectangle {
	if !rapid.Bool().Draw(t, "has "+name) {
		return nil
	}
	u := rapid.SampledFrom(lengthUnits).Draw(t, "unit")
	side := figureGen([]unit{u}, 90)
	return &pb.Rectangle{WidthMm: side.Draw(t, "w"), HeightMm: side.Draw(t, "h")}
}

func money(t *rapid.T, name string) *pb.Money {
	if !rapid.Bool().Draw(t, "has "+name) {
		return nil
	}
	return &pb.Money{
		CurrencyCode: rapid.SampledFrom([]string{"USD", "GBP", "EUR", "CAD"}).Draw(t, "currency"),
		Units:        rapid.Int64Range(0, 999_999_999_999).Draw(t, "units"),
		Nanos:        rapid.SampledFrom([]int32{0, 500_000_000, 50_000_000, 990_000_000, 1, 123_456_789}).Draw(t, "nanos"),
	}
}

func date(t *rapid.T) *pb.Date {
	if !rapid.Bool().Draw(t, "has day") {
		return nil
	}
	return &pb.Date{Year: rapid.Int32Range(1000, 9999).Draw(t, "year"), Month: rapid.Int32Range(1, 12).Draw(t, "month"), Day: rapid.Int32Range(1, 28).Draw(t, "day")}
}

func typeSize(t *rapid.T) *pb.TypeSize {
	switch rapid.IntRange(0, 3).Draw(t, "size") {
	case 0:
		return nil
	case 1:
		n := float64(rapid.IntRange(1, 400).Draw(t, "quarter lines")) / 4
		return &pb.TypeSize{Lines: &n}
	case 2:
		s, _ := trade.ParseTypeSize(rapid.SampledFrom([]string{"great primer", "canon", "two-line pica"}).Draw(t, "name"))
		return s
	}
	n := float64(rapid.IntRange(1, 400).Draw(t, "quarter points")) / 4
	return &pb.TypeSize{Points: &n, System: rapid.SampledFrom([]pb.PointSystem{0, 1, 2, 3}).Draw(t, "system")}
}

func bill(t *rapid.T) []*pb.SortCount {
	sorts := rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"A", "y", "N", "ffi", "&", "'", `"`, ",", ":", "#", "~", "?", "-", "1", "é", "en quad", "null", "{", "*"}), 0, 8, rapid.ID).Draw(t, "sorts")
	var all []*pb.SortCount
	for _, s := range sorts {
		all = append(all, &pb.SortCount{Sort: s, Count: rapid.Int32Range(0, 300).Draw(t, "n")})
	}
	return all
}

func weight(t *rapid.T) *pb.Weight {
	w := &pb.Weight{Grounds: rapid.SampledFrom([]pb.Grounds{1, 2, 3}).Draw(t, "grounds"), Basis: one(t, "basis")}
	u := rapid.SampledFrom(massUnits).Draw(t, "unit")
	a, b, c := figureGen([]unit{u}, 1000).Draw(t, "a"), figureGen([]unit{u}, 1000).Draw(t, "b"), figureGen([]unit{u}, 1000).Draw(t, "c")
	low, high := min(a, b, c), max(a, b, c)
	switch rapid.IntRange(0, 3).Draw(t, "form") {
	case 0:
		return nil
	case 1:
		w.MassKg = &a
	case 2:
		w.LowKg, w.HighKg = &low, &high
	case 3:
		w.MassKg, w.LowKg, w.HighKg = &a, &low, &high
	}
	return w
}

func partNames(t *rapid.T, name string) []string {
	names := rapid.SliceOfN(textGen(), 0, 3).Draw(t, name)
	var full []string
	for _, n := range names {
		if n != "" {
			full = append(full, n)
		}
	}
	return full
}

func partsOf(t *rapid.T) *pb.Parts {
	p := &pb.Parts{OnHand: partNames(t, "on hand"), Missing: partNames(t, "missing"), RestComplete: rapid.Bool().Draw(t, "rest")}
	if proto.Size(p) == 0 {
		return nil
	}
	return p
}

// lot makes a lot with everything that YAML holds.
func lot(t *rapid.T) *pb.Lot {
	l := &pb.Lot{
		Kind:          rapid.SampledFrom(trade.Kinds()).Draw(t, "kind"),
		Title:         "T" + one(t, "title"),
		Description:   many(t, "description"),
		Make:          one(t, "make"),
		Model:         one(t, "model"),
		Serial:        one(t, "serial"),
		Count:         maybe(t, "count", rapid.Int32Range(1, 5000)),
		Weight:        weight(t),
		Condition:     rapid.SampledFrom([]pb.Condition{0, 1, 2, 3, 4}).Draw(t, "condition"),
		ConditionNote: many(t, "note"),
		Parts:         partsOf(t),
		Price:         money(t, "price"),
		PricePaid:     money(t, "paid"),
		State:         rapid.SampledFrom([]pb.LotState{0, 1, 2, 3, 4, 5, 6}).Draw(t, "state"),
		ClearBy:       date(t),
	}
	if classes := trade.ClassesOf(l.Kind); len(classes) > 0 && rapid.Bool().Draw(t, "has class") {
		l.Class = rapid.SampledFrom(classes).Draw(t, "class")
	}
	size := &pb.Size{WidthMm: maybe(t, "width", lengthGen()), DepthMm: maybe(t, "depth", lengthGen()), HeightMm: maybe(t, "height", lengthGen())}
	if proto.Size(size) > 0 {
		l.Size = size
	}
	detail(t, l)
	l.SizeAsWritten = writtenSize(t, l.Kind)
	if err := trade.FillDetail(l); err != nil {
		t.Fatal(err)
	}
	return l
}

// writtenSize is a size as a keeper would write it for a lot of the kind.
func writtenSize(t *rapid.T, k pb.Kind) string {
	sizes := map[pb.Kind][]string{
		pb.Kind_KIND_PRESS:      {"", "10x15", "12 × 18 in", "bed 20x26", "254x381 mm"},
		pb.Kind_KIND_METAL_TYPE: {"", "24pt", "12", "great primer", "16 pt Didot"},
		pb.Kind_KIND_WOOD_TYPE:  {"", "12 line", "8"},
		pb.Kind_KIND_CUTS:       {"", `3" x 4"`},
		pb.Kind_KIND_STONES:     {"", "24x36x2"},
		pb.Kind_KIND_CUTTERS:    {"", "26 in"},
		pb.Kind_KIND_CABINETS:   {"", "24 cases", "tall"},
	}
	if s := sizes[k]; s != nil {
		return rapid.SampledFrom(s).Draw(t, "size")
	}
	return one(t, "size")
}

func detail(t *rapid.T, l *pb.Lot) {
	pieces := func() *int32 { return maybe(t, "pieces", rapid.Int32Range(0, 9999)) }
	switch l.Kind {
	case pb.Kind_KIND_PRESS:
		l.Detail = &pb.Lot_Press{Press: &pb.PressDetail{
			Chase: rectangle(t, "chase"), Bed: rectangle(t, "bed"), Platen: rectangle(t, "platen"), Sheet: rectangle(t, "sheet"),
			Drive:           rapid.SampledFrom([]pb.Drive{0, 1, 2, 3, 4}).Draw(t, "drive"),
			Supply:          rapid.SampledFrom([]pb.Supply{0, 1, 2, 3, 4}).Draw(t, "supply"),
			HeaviestPieceKg: maybe(t, "heaviest", massGen()),
		}}
	case pb.Kind_KIND_METAL_TYPE:
		l.Detail = &pb.Lot_MetalType{MetalType: &pb.MetalTypeDetail{
			Size: typeSize(t), Face: one(t, "face"), Scheme: one(t, "scheme"), Bill: bill(t), Pieces: pieces(),
			Cases: maybe(t, "cases", figureGen([]unit{{"", 1}}, 40)), AreaMm2: maybe(t, "area", figureGen(areaUnits, 500)),
			Alloy:           rapid.SampledFrom([]pb.Alloy{0, 1, 2, 3, 4}).Draw(t, "alloy"),
			HeightToPaperMm: maybe(t, "high", lengthGen()),
		}}
	case pb.Kind_KIND_WOOD_TYPE:
		l.Detail = &pb.Lot_WoodType{WoodType: &pb.WoodTypeDetail{
			Size: typeSize(t), Face: one(t, "face"), Scheme: one(t, "scheme"), Bill: bill(t), Pieces: pieces(),
			HeightToPaperMm: maybe(t, "high", lengthGen()),
		}}
	case pb.Kind_KIND_CUTS:
		l.Detail = &pb.Lot_Cuts{Cuts: &pb.CutsDetail{Pieces: pieces(), Material: one(t, "material"), Subject: one(t, "subject"), Face: rectangle(t, "face")}}
	default:
		l.Detail = &pb.Lot_General{General: &pb.GeneralDetail{
			Material: one(t, "material"), Cases: pieces(), WorkingSize: rectangle(t, "working size"), ThicknessMm: maybe(t, "thick", lengthGen()),
			Supply:          rapid.SampledFrom([]pb.Supply{0, 1, 2, 3, 4}).Draw(t, "supply"),
			HeaviestPieceKg: maybe(t, "heaviest", massGen()),
		}}
	}
}

// lots makes a few, each with a tag of its own.
func someLots(t *rapid.T) []*pb.Lot {
	all := make([]*pb.Lot, rapid.IntRange(0, 4).Draw(t, "lots"))
	for i := range all {
		all[i] = lot(t)
		all[i].Tag = line(string(rune('A'+i)) + one(t, "tag"))
	}
	return all
}

func wantEqual(t *rapid.T, format Format, s *Sheet, lots []*pb.Lot, written string) {
	t.Helper()
	if len(s.Bad) > 0 || len(s.Lots) != len(lots) {
		t.Fatalf("%d of %d lots came back; bad: %v\n%s", len(s.Lots), len(lots), s.Bad, written)
	}
	for i, r := range s.Lots {
		if !proto.Equal(r.Lot, lots[i]) {
			t.Fatalf("as %s, lot %d came back as\n%v\nand was\n%v\n%s", format, i, r.Lot, lots[i], written)
		}
	}
}

func TestYAMLRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shop := &pb.Shop{Title: one(t, "title"), Place: one(t, "place"), Story: many(t, "story"), Access: many(t, "access"), CollectionName: one(t, "name"), ClearBy: date(t)}
		lots := someLots(t)
		var b bytes.Buffer
		if err := Write(&b, YAML, shop, lots); err != nil {
			t.Fatal(err)
		}
		written := b.String()
		s, err := Read("x.yaml", &b)
		if err != nil {
			t.Fatalf("%v\n%s", err, written)
		}
		if proto.Size(shop) == 0 {
			shop = nil
		}
		if !proto.Equal(s.Shop, shop) {
			t.Fatalf("the shop came back as %v\nand was %v\n%s", s.Shop, shop, written)
		}
		wantEqual(t, YAML, s, lots, written)
	})
}

// cellLot makes a lot of what the columns can hold.
func cellLot(t *rapid.T) *pb.Lot {
	l := lot(t)
	l.Detail, l.State, l.ClearBy, l.PricePaid = nil, 0, nil, nil
	if l.Condition != 0 {
		l.ConditionNote = ""
	} else {
		l.Condition, l.ConditionNote = trade.ParseCondition(l.ConditionNote)
	}
	if w := l.Weight; w != nil {
		w.Basis = ""
		if w.MassKg != nil || w.GetLowKg() == w.GetHighKg() {
			w.LowKg, w.HighKg = nil, nil
		}
		if w.Grounds == pb.Grounds_GROUNDS_ESTIMATED || w.MassKg == nil && w.LowKg == nil {
			l.Weight = nil
		}
	}
	l.Parts = trade.ParseParts(rapid.SampledFrom([]string{"", "none", "rollers", "rollers, two chases"}).Draw(t, "missing"))
	if err := trade.FillDetail(l); err != nil {
		t.Fatal(err)
	}
	return l
}

func TestCSVRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lots := make([]*pb.Lot, rapid.IntRange(0, 4).Draw(t, "lots"))
		for i := range lots {
			lots[i] = cellLot(t)
			lots[i].Tag = line(string(rune('A'+i)) + one(t, "tag"))
		}
		var b bytes.Buffer
		if err := Write(&b, CSV, nil, lots); err != nil {
			t.Fatal(err)
		}
		written := b.String()
		s, err := Read("x.csv", &b)
		if err != nil {
			t.Fatalf("%v\n%s", err, written)
		}
		wantEqual(t, CSV, s, lots, written)
	})
}

func TestGuardRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.StringMatching(`['=+@\t-]{0,4}[a-z'=]{0,3}`).Draw(t, "cell")
		safe := guard(cell)
		if safe != "" && strings.ContainsRune("=+-@\t\r", rune(safe[0])) {
			t.Fatalf("%q is written as %q", cell, safe)
		}
		if back := unguard(safe); back != cell {
			t.Fatalf("%q came back as %q", cell, back)
		}
	})
}

func wantedList(t *rapid.T) *pb.WantedList {
	load := func(name string) *float64 {
		return maybe(t, name, rapid.OneOf(rapid.Just(0.0), massGen()))
	}
	number := func(name string) *float64 { return maybe(t, name, rapid.Float64Range(0.5, 100)) }
	w := &pb.WantedList{
		Title: "T" + one(t, "title"), Place: "P" + one(t, "place"), Purse: money(t, "purse"),
		ReachRoadKm: maybe(t, "reach", figureGen(roadUnits, 3000)),
		Weights:     &pb.FitWeights{Distance: number("distance"), Rigging: number("rigging"), Completeness: number("completeness")},
		Kit: &pb.Kit{
			People: maybe(t, "people", rapid.Int32Range(0, 9)), DollyKg: load("dolly"), PalletJackKg: load("jack"), HoistKg: load("hoist"),
			LiftgateKg: load("gate"), ForkliftKg: load("fork"), VehiclePayloadKg: load("payload"),
			DoorWidthMm: maybe(t, "door", lengthGen()), Steps: maybe(t, "steps", rapid.Int32Range(0, 40)),
			FloorKgPerM2: maybe(t, "floor", figureGen(floorUnits, 400)),
		},
	}
	if proto.Size(w.Weights) == 0 {
		w.Weights = nil
	}
	if proto.Size(w.Kit) == 0 {
		w.Kit = nil
	}
	for i := range rapid.IntRange(1, 4).Draw(t, "wants") {
		w.Wants = append(w.Wants, want(t, w, i))
	}
	return w
}

func want(t *rapid.T, list *pb.WantedList, i int) *pb.Want {
	w := &pb.Want{
		Id: "want-" + string(rune('a'+i)), Title: "T" + one(t, "title"), MustHave: partNames(t, "must have"),
		TextToSet: many(t, "text"), Importance: rapid.Int32Range(0, 5).Draw(t, "importance"), Filter: lotFilter(t),
	}
	if n := w.Filter.Near; n != nil && n.Place == "" {
		n.Place = list.Place
	}
	if proto.Size(w.Filter) == 0 {
		w.Filter = nil
	}
	return w
}

func lotFilter(t *rapid.T) *pb.LotFilter {
	f := &pb.LotFilter{
		Words: one(t, "words"), Sheet: rectangle(t, "sheet"), MaxMassKg: maybe(t, "max weight", massGen()), MaxPrice: money(t, "max price"),
		Shop: one(t, "shop"), KnownOnly: rapid.Bool().Draw(t, "known only"),
		States: rapid.SliceOfNDistinct(rapid.SampledFrom([]pb.LotState{1, 2, 3, 4, 5, 6}), 0, 3, rapid.ID).Draw(t, "states"),
	}
	f.Kinds = rapid.SliceOfNDistinct(rapid.SampledFrom(trade.Kinds()), 0, 4, rapid.ID).Draw(t, "kinds")
	if rapid.Bool().Draw(t, "has classes") {
		f.Kinds, f.Classes = nil, rapid.SliceOfNDistinct(rapid.SampledFrom(trade.Classes()), 1, 4, rapid.ID).Draw(t, "classes")
		for _, c := range f.Classes {
			f.Kinds = addOnce(f.Kinds, trade.KindOf(c))
		}
	}
	if rapid.Bool().Draw(t, "has near") {
		f.Near = &pb.Near{Place: one(t, "near"), WithinRoadKm: maybe(t, "within", figureGen(roadUnits, 3000))}
	}
	return f
}

func TestLodgingRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := wantedList(t)
		d := &pb.Delivery{
			Email: one(t, "email"), Digest: rapid.SampledFrom([]pb.Digest{0, 1, 2, 3, 4}).Draw(t, "digest"), TimeZone: rapid.SampledFrom([]string{"", "America/Detroit"}).Draw(t, "zone"),
			MostADay: maybe(t, "most a day", rapid.Int32Range(1, 100)), WebhookUrl: rapid.SampledFrom([]string{"", "https://hooks.example.org/a?b=c"}).Draw(t, "webhook"),
		}
		if rapid.Bool().Draw(t, "has quiet hours") {
			d.QuietFrom, d.QuietUntil = "22:00", "7:30"
		}
		var b bytes.Buffer
		if err := WriteLodging(&b, list, d); err != nil {
			t.Fatal(err)
		}
		written := b.String()
		backList, back, err := ReadLodging("x.yaml", &b)
		if err != nil {
			t.Fatalf("%v\n%s", err, written)
		}
		if proto.Size(d) == 0 {
			d = nil
		}
		if !proto.Equal(backList, list) || !proto.Equal(back, d) {
			t.Fatalf("came back as\n%v\nand was\n%v\n%s", back, d, written)
		}
	})
}

func TestWantedRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := wantedList(t)
		var b bytes.Buffer
		if err := WriteWanted(&b, list); err != nil {
			t.Fatal(err)
		}
		written := b.String()
		back, err := ReadWanted("x.yaml", &b)
		if err != nil {
			t.Fatalf("%v\n%s", err, written)
		}
		if !proto.Equal(back, list) {
			t.Fatalf("came back as\n%v\nand was\n%v\n%s", back, list, written)
		}
	})
}
