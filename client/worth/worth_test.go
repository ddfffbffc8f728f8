package worth

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

var today = &pb.Date{Year: 2026, Month: 11, Day: 25}

// jobber is a 10x15 platen jobber in work with nothing missing.
func jobber() *pb.Lot {
	return &pb.Lot{
		Name: "shops/a/lots/p1", Tag: "P1", Title: "A platen jobber", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER,
		Weight: &pb.Weight{MassKg: proto.Float64(700)}, Condition: pb.Condition_CONDITION_WORKING, Parts: &pb.Parts{RestComplete: true},
		Detail: &pb.Lot_Press{Press: &pb.PressDetail{Chase: &pb.Rectangle{WidthMm: 254, HeightMm: 381}}},
	}
}

// sold is one that was sold for so many dollars some years ago.
func sold(l *pb.Lot, dollars int64, yearsAgo int32) Sale {
	l.PricePaid = &pb.Money{CurrencyCode: "USD", Units: dollars}
	return Sale{Lot: l, Date: &pb.Date{Year: 2026 - yearsAgo, Month: 11, Day: 25}, Source: "a test"}
}

func report(sales ...Sale) *Report {
	return Make(Input{Lots: []*pb.Lot{jobber()}, Sales: sales, Today: today, Currency: "USD"})
}

func sales(prices ...int64) []Sale {
	var all []Sale
	for _, p := range prices {
		all = append(all, sold(jobber(), p, 1))
	}
	return all
}

func near(t *testing.T, what string, got, want, off float64) {
	t.Helper()
	if math.Abs(got-want) > off {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

func TestQuantilesAgainstPublishedOnes(t *testing.T) {
	squares := make([]float64, 10)
	for i := range squares {
		squares[i] = float64((i + 1) * (i + 1))
	}
	for _, c := range []struct {
		source     string
		figures    []float64
		q1, m, q3  float64
		wantMedian bool
	}{
		{"Pruim, Foundations and Applications of Statistics: An Introduction Using R, p. 14: quantile((1:10)^2); seen quoted", squares, 10.75, 30.5, 60.25, true},
		{"r-help, 13 January 2012, Quantile calculations in R: summary(c(1,12,14,3,96,111)); seen", []float64{1, 12, 14, 3, 96, 111}, 5.25, 13, 75.5, true},
		{"a course text on quantile() with its default type 7, worked by (n-1)p+1; seen quoted", []float64{1.720, 2.090, 2.570, 2.600, 1.410, 1.760, 2.200, 2.700, 1.130, 2.830, 1.575, 2.400, 2.950, 1.930, 3.005, 1.680, 3.160, 1.715, 2.015, 2.550, 3.400, 2.040, 3.640}, 1.74, 0, 2.765, false},
		{"calculated: the inclusive quartiles, where the exclusive ones would be 1,000 and 2,750", []float64{900, 1100, 1200, 1500, 4000}, 1100, 1200, 1500, true},
	} {
		sorted := slices.Sorted(slices.Values(c.figures))
		near(t, c.source+": first quartile", Quantile(sorted, 0.25), c.q1, 1e-9)
		near(t, c.source+": third quartile", Quantile(sorted, 0.75), c.q3, 1e-9)
		if c.wantMedian {
			near(t, c.source+": median", Quantile(sorted, 0.5), c.m, 1e-9)
		}
	}
}

// The data are those of Shrout and Fleiss (1979), six subjects by four judges, and
// their ICC(1,1) of .17: from memory.
func TestIntraclassAgainstAPublishedOne(t *testing.T) {
	got := Intraclass([][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}})
	near(t, "ICC(1,1)", got, 0.17, 0.005)
	near(t, "of groups that agree within", Intraclass([][]float64{{1, 1}, {2, 2, 2}, {5, 5}}), 1, 1e-12)
	near(t, "of figures that are all equal", Intraclass([][]float64{{3, 3}, {3, 3}}), 0, 0)
}

// 1 - 2(1/2)^n: 75, 93.75 and 96.875 percent (the sign test's interval; calculated).
func TestHowSureTheRangeIs(t *testing.T) {
	for n, want := range map[int]float64{3: 0.75, 5: 0.9375, 6: 0.96875} {
		near(t, fmt.Sprintf("with %d sales", n), spreadOf(make([]float64, n)).Holds, want, 1e-12)
	}
}

// A textbook of applied calculus works the rule of .6: twice the capacity costs
// 1.516 times as much, three times 1.933, four times 2.297 (seen quoted).
func TestTheSixTenthsRule(t *testing.T) {
	for times, want := range map[float64]float64{2: 1.516, 3: 1.933, 4: 2.297} {
		lot, other := features{kind: pb.Kind_KIND_PRESS, amount: times}, features{kind: pb.Kind_KIND_PRESS, amount: 1}
		near(t, fmt.Sprintf("%.0f times", times), forAmount(lot, other).Factor, want, 5e-4)
	}
}

// 1,000 at 3 percent a year is 1,125.51 after four years (calculated).
func TestTime(t *testing.T) {
	in := Input{Today: today, Yearly: proto.Float64(0.03)}
	four := &pb.Date{Year: 2022, Month: 11, Day: 25}
	near(t, "1,000 four years on", 1000*in.forTime(four).Factor, 1125.51, 0.05)
	near(t, "without a rate", (&Input{Today: today}).forTime(four).Factor, 1, 0)
	near(t, "without a day", in.forTime(nil).Factor, 1, 0)
}

func TestHowManySalesAreEnough(t *testing.T) {
	for _, c := range []struct {
		prices []int64
		text   string
	}{
		{nil, "Too few to say: there is no recorded sale of the like."},
		{[]int64{900, 1000}, "Too few to say: 2 recorded sales of the like, shown below."},
		{[]int64{900, 1000, 1200}, "May fetch about $1,000: the median of 3 recorded sales of the like, $900 to $1,200. They are few"},
		{[]int64{900, 1000, 1200, 1300, 1400, 1500}, "May fetch about $1,250: the median of 6 recorded sales of the like. The middle half lies between $1,050 and $1,380, all of them between $900 and $1,500."},
	} {
		if got := textOf(t, report(sales(c.prices...)...)); !strings.Contains(got, c.text) {
			t.Errorf("%q is not in:\n%s", c.text, got)
		}
	}
}

func textOf(t testing.TB, r *Report) string {
	var b strings.Builder
	if err := Text(&b, r, trade.US); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// change is a sale that differs from the lot in one thing.
func change(f func(*pb.Lot)) Sale {
	l := jobber()
	f(l)
	return sold(l, 1000, 1)
}

func TestAdjustments(t *testing.T) {
	for _, c := range []struct {
		what   string
		sale   Sale
		factor float64
	}{
		{"size", change(func(l *pb.Lot) { l.GetPress().Chase = &pb.Rectangle{WidthMm: 254 / 2, HeightMm: 381} }), math.Pow(2, 0.6)},
		{"condition", change(func(l *pb.Lot) { l.Condition = pb.Condition_CONDITION_NEEDS_REPAIR }), 2},
		{"condition", change(func(l *pb.Lot) { l.Condition = 0 }), 1},
		{"number", change(func(l *pb.Lot) { l.Count = proto.Int32(2) }), 0.5},
		{"size", change(func(l *pb.Lot) { l.Detail = nil }), 1},
		{"completeness", change(func(l *pb.Lot) { l.Parts = nil }), 1.14},
	} {
		r := report(c.sale)
		used := r.Lots[0].Comparables
		if len(used) != 1 {
			t.Fatalf("%s: %v", c.what, r.Lots[0].Passed)
		}
		product := 1000.0
		for _, a := range used[0].Adjustments {
			want := 1.0
			if a.What == c.what {
				want = c.factor
			}
			if near(t, c.what+": the factor for "+a.What, a.Factor, want, 0.005); a.Ground == "" {
				t.Errorf("%s: nothing is said of why", a.What)
			}
			product *= a.Factor
		}
		near(t, c.what+": adjusted", used[0].Adjusted, product, 1e-6)
	}
}

func TestASaleThatSaysHowComplete(t *testing.T) {
	s := sold(jobber(), 1000, 1)
	s.Complete = proto.Float64(0.5)
	got := report(s).Lots[0].Comparables[0].Adjusted
	near(t, "adjusted from half there to all there", got, 1000/0.7, 1)
}

func TestSalesThatArePassedOver(t *testing.T) {
	later := sold(jobber(), 1000, -1)
	for _, c := range []struct {
		want string
		sale Sale
	}{
		{"in GBP, and currencies are not mixed", change(func(l *pb.Lot) {})},
		{"after the day of this report", later},
		{"more than 15 years ago", sold(jobber(), 1000, 16)},
		{"of another build", change(func(l *pb.Lot) { l.Class = pb.Class_CLASS_HAND_PRESS })},
		{"of another build", change(func(l *pb.Lot) { l.Class = 0 })},
		{"more than 3 times as large", change(func(l *pb.Lot) { l.GetPress().Chase = &pb.Rectangle{WidthMm: 50, HeightMm: 381} })},
		{"adjusted by more than 2.5 times", change(func(l *pb.Lot) { l.Condition = pb.Condition_CONDITION_FOR_PARTS })},
	} {
		if strings.HasPrefix(c.want, "in GBP") {
			c.sale.Lot.PricePaid.CurrencyCode = "GBP"
		}
		l := report(c.sale).Lots[0]
		if len(l.Comparables) > 0 || len(l.Passed) != 1 || !strings.HasPrefix(l.Passed[0], "1 ") || !strings.Contains(l.Passed[0], c.want) {
			t.Errorf("%q: used %d, passed over %q", c.want, len(l.Comparables), l.Passed)
		}
	}
	if l := report(change(func(l *pb.Lot) { l.Kind, l.Class, l.Detail = pb.Kind_KIND_STONES, 0, nil })).Lots[0]; len(l.Comparables)+len(l.Passed) > 0 {
		t.Errorf("a stone is no press: %v %v", l.Comparables, l.Passed)
	}
	self := jobber()
	s := sold(self, 1000, 1)
	if r := Make(Input{Lots: []*pb.Lot{self}, Sales: []Sale{s}, Today: today, Currency: "USD"}); len(r.Lots[0].Comparables) > 0 {
		t.Error("a lot is held against itself")
	}
}

func TestThingsWithoutAClassGoByTheirTitle(t *testing.T) {
	tool := func(title string) *pb.Lot { return &pb.Lot{Kind: pb.Kind_KIND_TOOLS, Title: title} }
	for title, want := range map[string]int{"Two planers": 1, "A planer and a mallet": 1, "Quoins and keys": 0, "Some wooden boxes": 0} {
		in := Input{Lots: []*pb.Lot{tool("Planer with wooden boxes")}, Sales: []Sale{sold(tool(title), 10, 1)}, Today: today, Currency: "USD"}
		if got := len(Make(in).Lots[0].Comparables); got != want {
			t.Errorf("%s: %d used, want %d", title, got, want)
		}
	}
}

func TestTypeGoesByItsBodyAndWeight(t *testing.T) {
	fount := func(points, kg float64) *pb.Lot {
		return &pb.Lot{Kind: pb.Kind_KIND_METAL_TYPE, Title: "Roman", Weight: &pb.Weight{MassKg: &kg},
			Detail: &pb.Lot_MetalType{MetalType: &pb.MetalTypeDetail{Size: &pb.TypeSize{Points: &points, System: pb.PointSystem_POINT_SYSTEM_AMERICAN}}}}
	}
	in := Input{Lots: []*pb.Lot{fount(12, 20)}, Sales: []Sale{sold(fount(14, 10), 50, 1), sold(fount(24, 20), 50, 1)}, Today: today, Currency: "USD"}
	l := Make(in).Lots[0]
	if len(l.Comparables) != 1 || len(l.Passed) != 1 || l.Passed[0] != "1 of another size of type" {
		t.Fatalf("used %v, passed over %v", l.Comparables, l.Passed)
	}
	near(t, "twice the weight", l.Comparables[0].Adjusted, 100, 1e-6)
}

func TestTheMostAlikeAreUsed(t *testing.T) {
	var all []Sale
	for i := range int32(14) {
		all = append(all, sold(jobber(), 1000+int64(i), 14-i))
	}
	l := report(all...).Lots[0]
	if len(l.Comparables) != 12 || l.Comparables[0].Paid.GetUnits() != 1013 || l.Comparables[11].Paid.GetUnits() != 1002 {
		t.Errorf("used %d from %v to %v: not the latest twelve", len(l.Comparables), l.Comparables[0].Paid, l.Comparables[len(l.Comparables)-1].Paid)
	}
	if !slices.Equal(l.Passed, []string{"2 less alike than the 12 used"}) {
		t.Errorf("passed over %q", l.Passed)
	}
}

func TestRehomed(t *testing.T) {
	l := jobber()
	l.PricePaid = &pb.Money{CurrencyCode: "USD", Units: 800}
	if _, ok := Rehomed(l, "shops/a"); ok {
		t.Error("an offered lot is no sale")
	}
	l.State = pb.LotState_LOT_STATE_REHOMED
	l.History = []*pb.LotStep{{State: pb.LotState_LOT_STATE_REHOMED, Time: &timestamppb.Timestamp{Seconds: 1_700_000_000}}}
	s, ok := Rehomed(l, "shops/a")
	if !ok || trade.FormatDate(s.Date) != "14 November 2023" || strings.Contains(s.Source, "shops") {
		t.Errorf("%v %v", s, ok)
	}
	for _, free := range []*pb.Money{nil, {CurrencyCode: "USD"}} {
		l.PricePaid = free
		if _, ok := Rehomed(l, "shops/a"); ok {
			t.Errorf("%v is no price", free)
		}
	}
}

func TestTotal(t *testing.T) {
	a, b := jobber(), &pb.Lot{Name: "shops/a/lots/k1", Tag: "K1", Title: "Cabinet", Kind: pb.Kind_KIND_CABINETS, Class: pb.Class_CLASS_TYPE_CABINET}
	all := sales(900, 1000, 1100)
	for _, p := range []int64{400, 500, 700} {
		all = append(all, sold(&pb.Lot{Title: "Cabinet", Kind: pb.Kind_KIND_CABINETS, Class: pb.Class_CLASS_TYPE_CABINET}, p, 1))
	}
	in := Input{Lots: []*pb.Lot{a, b, {Kind: pb.Kind_KIND_OTHER, Title: "Papers"}}, Sales: all, Today: today, Currency: "USD"}
	got := Make(in).Total
	// Below: 100 of one and 100 of the other; above: 100 and 200; half in common.
	want := Total{Lots: 2, Silent: 1, Middle: 1500, Low: 1500 - math.Sqrt(20000+10000), High: 1500 + math.Sqrt(50000+20000),
		ApartLow: 1500 - math.Sqrt(20000), ApartHigh: 1500 + math.Sqrt(50000), TogetherLow: 1300, TogetherHigh: 1800, Shared: 0.5, Ground: got.Ground}
	if got != want {
		t.Errorf("%+v\nwant %+v", got, want)
	}
	// Two that are held against the same sales are wrong together.
	twin := jobber()
	twin.Name = "shops/a/lots/p2"
	got = Make(Input{Lots: []*pb.Lot{a, twin}, Sales: sales(900, 1000, 1100), Today: today, Currency: "USD"}).Total
	near(t, "the range of twins", got.Low, 1800, 1e-9)
}

// Whatever the lots, the total lies between the two extremes, and no lot makes it
// surer in money.
func TestTotalsLieBetweenTheExtremes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := Input{Today: today, Currency: "USD"}
		for range rapid.IntRange(0, 12).Draw(t, "sales") {
			s := sold(jobber(), rapid.Int64Range(1, 3000).Draw(t, "price"), rapid.Int32Range(0, 20).Draw(t, "years"))
			s.Lot.Kind = rapid.SampledFrom([]pb.Kind{pb.Kind_KIND_PRESS, pb.Kind_KIND_WOOD_TYPE}).Draw(t, "kind")
			in.Sales = append(in.Sales, s)
		}
		var before float64
		for i := range 4 {
			l := jobber()
			l.Kind = rapid.SampledFrom([]pb.Kind{pb.Kind_KIND_PRESS, pb.Kind_KIND_WOOD_TYPE}).Draw(t, "kind")
			l.Name = fmt.Sprint(i)
			in.Lots = append(in.Lots, l)
			got := Make(in).Total
			const slack = 1e-6
			if got.TogetherLow > got.Low+slack || got.Low > got.ApartLow+slack || got.ApartLow > got.Middle+slack ||
				got.Middle > got.ApartHigh+slack || got.ApartHigh > got.High+slack || got.High > got.TogetherHigh+slack {
				t.Fatalf("out of order: %+v", got)
			}
			if wide := got.High - got.Low; wide < before-slack {
				t.Fatalf("a lot more makes the range narrower, %v after %v", wide, before)
			} else {
				before = wide
			}
		}
	})
}

func TestWhatIsSoldTogetherSharesItsLuck(t *testing.T) {
	var all []Sale
	for e := range 6 {
		for i := range int64(4) {
			s := sold(jobber(), 600+200*int64(e)+i, 1)
			s.Event = fmt.Sprint("sale ", e)
			all = append(all, s)
		}
	}
	got := report(all...).Total
	if got.Shared < 0.9 || !strings.Contains(got.Ground, "estimated from 24 records of 6 sales") {
		t.Errorf("%v: %s", got.Shared, got.Ground)
	}
	for i := range all {
		all[i].Event = fmt.Sprint("sale ", i%6)
		all[i].Lot.PricePaid.Units = 900 + 100*int64(i/6)
	}
	if got := report(all...).Total; got.Shared != 0 {
		t.Errorf("where sales do not differ, %v is shared", got.Shared)
	}
	if got := report(all[:14]...).Total; got.Shared != usualShared || !strings.Contains(got.Ground, "a design choice") {
		t.Errorf("with few records %v is shared: %s", got.Shared, got.Ground)
	}
}

func TestScrap(t *testing.T) {
	in := Input{Lots: []*pb.Lot{jobber()}, Sales: sales(900, 1000, 1100), Today: today, Currency: "USD", Recovery: proto.Float64(0.9)}
	kg := 1500 * trade.KgPerPound
	in.Lots[0].Weight = &pb.Weight{MassKg: &kg}
	iron, err := ParseScrap("iron=0.08/lb", "USD")
	if err != nil {
		t.Fatal(err)
	}
	in.Scrap = []ScrapPrice{iron}
	// 1,500 lb at 0.08 with 0.9 recovered: 108 (calculated).
	f := Make(in).Lots[0].Floor
	near(t, "the floor", f.Low, 108, 1e-6)
	for _, want := range []string{"90 percent of its weight", "nobody makes them any more", "about $1,000, whole: melting would throw away about $892"} {
		if !strings.Contains(strings.Join(f.Words, " "), want) {
			t.Errorf("%q is not in %q", want, f.Words)
		}
	}
	in.Scrap[0].PerKg = 10
	if f := Make(in).Lots[0].Floor; !strings.Contains(f.Words[2], "no more than the metal") {
		t.Errorf("%q", f.Words)
	}
	in.Scrap = nil
	if r := Make(in); r.Lots[0].Floor != nil || r.ScrapHigh != 0 {
		t.Error("a floor without a price")
	}
}

func TestWhatThingsAreMadeOf(t *testing.T) {
	for _, c := range []struct {
		lot  *pb.Lot
		want string
	}{
		{&pb.Lot{Kind: pb.Kind_KIND_METAL_TYPE}, "type metal"},
		{&pb.Lot{Kind: pb.Kind_KIND_WOOD_TYPE, Title: "Type in an iron frame"}, ""},
		{&pb.Lot{Kind: pb.Kind_KIND_CASTERS}, "iron"},
		{&pb.Lot{Kind: pb.Kind_KIND_CASTERS, Title: "Matrices"}, "brass"},
		{&pb.Lot{Kind: pb.Kind_KIND_ORNAMENTS, Title: "Brass rule"}, "brass"},
		{&pb.Lot{Kind: pb.Kind_KIND_SPACING, Title: "Reglet"}, ""},
		{&pb.Lot{Kind: pb.Kind_KIND_SPACING, Title: "Leads"}, "type metal"},
		{&pb.Lot{Kind: pb.Kind_KIND_STONES, Class: pb.Class_CLASS_IMPOSING_STONE, Title: "Stone on a steel frame"}, ""},
		{&pb.Lot{Kind: pb.Kind_KIND_STONES, Class: pb.Class_CLASS_IMPOSING_SURFACE, Title: "Steel surface"}, "steel"},
		{&pb.Lot{Kind: pb.Kind_KIND_CABINETS, Title: "Oak"}, ""},
	} {
		if got := metalOf(c.lot); got != c.want {
			t.Errorf("%v is of %q, want %q", c.lot, got, c.want)
		}
	}
}

func TestWrongScrapPrices(t *testing.T) {
	for text, want := range map[string]string{
		"gold=1/lb": `"gold" is not a metal here`, "0.35": "say what a pound or a kilogram brings", "0.35/stone": "say what a pound",
		"lead=much/lb": "is not a price", "£1/lb": "is in GBP, and this report is in USD",
	} {
		if _, err := ParseScrap(text, "USD"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
	for text, metal := range map[string]string{"lead = $0.35 / lb": "type metal", "0.77/kg": "type metal", "aluminium=1/kg": "aluminum"} {
		if p, err := ParseScrap(text, "USD"); err != nil || p.Metal != metal {
			t.Errorf("%s: %v, %v", text, p, err)
		}
	}
}

func TestMoving(t *testing.T) {
	town := func(lat, lng float64) *pb.Town {
		return &pb.Town{Label: "A town", Point: &pb.Point{Latitude: lat, Longitude: lng}}
	}
	heavy := func(kg float64) *pb.Lot {
		l := jobber()
		l.Town, l.GetPress().HeaviestPieceKg, l.Weight = town(39.76, -84.19), &kg, &pb.Weight{MassKg: proto.Float64(2 * kg)}
		return l
	}
	money := func(n int64) *pb.Money { return &pb.Money{CurrencyCode: "USD", Units: n} }
	full := Moving{To: town(40.44, -79.99), PerMile: money(2), Riggers: money(800)}
	cost := func(l *pb.Lot, m Moving) *Move {
		return Make(Input{Lots: []*pb.Lot{l}, Today: today, Currency: "USD", Moving: m}).Lots[0].Move
	}
	light, withRiggers := cost(heavy(300), full), cost(heavy(1500), full)
	if light.Low == nil || *light.Low < 2*2*200 || *light.High > 2*2*400 || *light.Low >= *light.High {
		t.Errorf("the drive costs %v", light)
	}
	near(t, "what riggers add", *withRiggers.Low-*light.Low, 800, 1e-6)
	for _, c := range []struct {
		lot  *pb.Lot
		m    Moving
		want string
	}{
		{heavy(300), Moving{PerMile: money(2)}, "where will it go?"},
		{heavy(300), Moving{To: full.To}, "what does a mile cost"},
		{heavy(1500), Moving{To: full.To, PerMile: money(2)}, "what do riggers ask"},
		{&pb.Lot{Kind: pb.Kind_KIND_OTHER, Title: "A thing", Town: full.To}, full, "how heavy is its heaviest piece?"},
		{heavy(300), Moving{To: town(51.5, -0.13), PerMile: money(2)}, "there is no road there"},
	} {
		if m := cost(c.lot, c.m); m.Low != nil || !strings.Contains(strings.Join(m.Ask, " "), c.want) {
			t.Errorf("%v, want %q", m, c.want)
		}
	}
}

var forbidden = regexp.MustCompile(`(?i)apprais\w*`)

// Whatever the report tells of, it never calls itself what it is not.
func TestItNeverCallsItselfAnAppraisal(t *testing.T) {
	in := Input{Lots: []*pb.Lot{jobber(), {Kind: pb.Kind_KIND_METAL_TYPE, Title: "Roman"}}, Sales: sales(900, 1000, 1200, 1300, 1400, 1500), Today: today, Currency: "USD"}
	r := Make(in)
	raw, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{textOf(t, r), string(raw)} {
		for _, word := range forbidden.FindAllString(text, -1) {
			if word != "appraiser" {
				t.Errorf("it says %q", word)
			}
		}
		if !strings.Contains(text, "have a qualified appraiser see them") {
			t.Error("it does not say when a qualified appraiser is needed")
		}
	}
	again, err := json.Marshal(Make(in))
	if err != nil || string(again) != string(raw) {
		t.Error("the same input gives another report")
	}
}
