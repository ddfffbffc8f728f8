package rehome

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/score"
	"heirpress/search/trade"
)

func nevers() Stop { return never }

func dollars(n int64) *pb.Money { return &pb.Money{CurrencyCode: "USD", Units: n} }

// someInput draws a shop, lists and wishes: lots of every weight and price, some
// not said; lists with and without purse, payload and kit; candidates at random.
func someInput(t *rapid.T) Input {
	in := Input{Today: &pb.Date{Year: 2026, Month: 11, Day: 20}}
	for i := range rapid.IntRange(1, 8).Draw(t, "lots") {
		in.Lots = append(in.Lots, someLot(t, i))
	}
	for i := range rapid.IntRange(1, 4).Draw(t, "lists") {
		in.Lists = append(in.Lists, someList(t, i))
	}
	for _, list := range in.Lists {
		road := &place.Road{Km: float64(rapid.SampledFrom([]int{50, 900, 2500}).Draw(t, "road"))}
		road.LowKm, road.HighKm = road.Km, road.Km
		for _, w := range list.Wants {
			for _, l := range in.Lots {
				if rapid.Bool().Draw(t, "meets") {
					fit := &pb.Fit{Score: rapid.Float64Range(0, 100).Draw(t, "fit")}
					in.Candidates = append(in.Candidates, Candidate{list, w, l, fit, road})
				}
			}
		}
	}
	in.Wishes = someWishes(t, &in)
	return in
}

func someLot(t *rapid.T, i int) *pb.Lot {
	l := &pb.Lot{Name: fmt.Sprintf("shops/a/lots/l%d", i), Tag: fmt.Sprintf("L%d", i), Title: "A lot",
		Kind: rapid.SampledFrom([]pb.Kind{pb.Kind_KIND_PRESS, pb.Kind_KIND_WOOD_TYPE}).Draw(t, "kind")}
	if kg := rapid.IntRange(0, 900).Draw(t, "kg"); kg > 0 {
		l.Weight = &pb.Weight{MassKg: proto.Float64(float64(kg))}
	}
	if rapid.Bool().Draw(t, "priced") {
		l.Price = &pb.Money{CurrencyCode: rapid.SampledFrom([]string{"USD", "GBP"}).Draw(t, "currency"), Units: rapid.Int64Range(0, 900).Draw(t, "price")}
	}
	if rapid.Bool().Draw(t, "has a day") {
		l.ClearBy = &pb.Date{Year: 2026, Month: 11, Day: rapid.Int32Range(18, 28).Draw(t, "day")}
	}
	return l
}

func someList(t *rapid.T, i int) *pb.WantedList {
	list := &pb.WantedList{Title: fmt.Sprintf("List %d", i)}
	if rapid.Bool().Draw(t, "has a kit") {
		list.Kit = someKit(t)
	}
	if rapid.Bool().Draw(t, "has a purse") {
		list.Purse = dollars(rapid.Int64Range(0, 1500).Draw(t, "purse"))
	}
	for k := range rapid.IntRange(1, 3).Draw(t, "wants") {
		list.Wants = append(list.Wants, &pb.Want{Id: fmt.Sprintf("w%d", k), Title: "A want"})
	}
	return list
}

func someKit(t *rapid.T) *pb.Kit {
	k := &pb.Kit{}
	if rapid.Bool().Draw(t, "has a payload") {
		k.VehiclePayloadKg = proto.Float64(float64(rapid.IntRange(0, 1500).Draw(t, "payload")))
	}
	if rapid.Bool().Draw(t, "has people") {
		k.People = proto.Int32(rapid.Int32Range(0, 6).Draw(t, "people"))
	}
	return k
}

func someWishes(t *rapid.T, in *Input) Wishes {
	w := Wishes{
		Whole:       rapid.SampledFrom([]Whole{WholeOrNot, WholeOrNot, WholePreferred, WholeOnly}).Draw(t, "whole"),
		WholePoints: 300,
		OwnKitOnly:  rapid.Bool().Draw(t, "own kit only"),
		LeastFit:    rapid.SampledFrom([]float64{0, 30}).Draw(t, "least fit"),
	}
	title := func() string { return rapid.SampledFrom(in.Lists).Draw(t, "list").Title }
	if rapid.Bool().Draw(t, "somebody offers to take all") {
		w.WholeOffers = []WholeOffer{{title(), rapid.IntRange(0, 4).Draw(t, "trips")}}
	}
	if rapid.Bool().Draw(t, "prefers") {
		w.Prefer = []Prefer{{title(), 20}}
	}
	if rapid.Bool().Draw(t, "knows more of one") {
		w.Limits = []Limit{{title(), dollars(rapid.Int64Range(0, 2500).Draw(t, "budget")), rapid.IntRange(0, 3).Draw(t, "trips")}}
	}
	for at := 0; at+2 <= len(in.Lots) && rapid.Bool().Draw(t, "together"); at += 2 {
		w.Together = append(w.Together, Together{Tags: []string{in.Lots[at].Tag, in.Lots[at+1].Tag}, Must: rapid.Bool().Draw(t, "must"), Points: 30})
	}
	return w
}

func TestAPlanKeepsEveryPromise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := someInput(t)
		p, err := Make(in, nevers)
		if err != nil {
			t.Fatal(err)
		}
		if !p.Proven() || p.Points < p.Greedy {
			t.Fatalf("greedy %d, plan %d, bound %d", p.Greedy, p.Points, p.Bound)
		}
		everyLotOnce(t, in, p)
		for _, h := range p.Homes {
			if p.Whole {
				wholeIsWhole(t, in, p, h)
				continue
			}
			withinMeans(t, in, h)
			wishesKept(t, in, h)
		}
	})
}

func everyLotOnce(t *rapid.T, in Input, p *Plan) {
	seen := map[*pb.Lot]int{}
	for _, h := range p.Homes {
		for _, g := range h.Given {
			seen[g.Lot]++
		}
	}
	for _, l := range p.Left {
		if seen[l.Lot]++; l.Do == "" {
			t.Fatalf("nothing is said of what to do with %s", l.Lot.Tag)
		}
	}
	for _, l := range in.Lots {
		if seen[l] != 1 {
			t.Fatalf("lot %s is told %d times", l.Tag, seen[l])
		}
	}
}

func wholeIsWhole(t *rapid.T, in Input, p *Plan, h Home) {
	if len(p.Homes) != 1 || len(h.Given) != len(in.Lots) || len(in.Wishes.WholeOffers) == 0 || in.Wishes.WholeOffers[0].List != h.List.Title {
		t.Fatalf("a whole is %d homes with %d of %d lots", len(p.Homes), len(h.Given), len(in.Lots))
	}
}

// withinMeans reckons anew what a seeker can take.
func withinMeans(t *rapid.T, in Input, h Home) {
	budget, trips := h.List.GetPurse(), 1
	for _, l := range in.Wishes.Limits {
		if l.List == h.List.Title {
			budget, trips = l.Budget, max(1, l.Trips)
		}
	}
	var kg, price float64
	for _, g := range h.Given {
		if m := g.Lot.Price; m.GetCurrencyCode() == "USD" {
			price += float64(m.Units)
		}
		if e := trade.WeightOf(g.Lot); e.Known {
			kg += e.HighKg
		} else {
			kg += usualKg
		}
		if day := g.Lot.ClearBy; day != nil {
			days := int(math.Ceil(2 * h.Road.HighKm / (45 * 1.609344) / 10))
			if int(day.Day)-20+1 < days {
				t.Fatalf("%s must be gone on the %dth, and it takes %d days from the 20th", g.Lot.Tag, day.Day, days)
			}
		}
	}
	if budget != nil && price > float64(budget.Units) {
		t.Fatalf("%s is to pay %.0f of %d", h.List.Title, price, budget.Units)
	}
	if kitPayload(h.List) != nil && kg > h.List.Kit.GetVehiclePayloadKg()*float64(trips)+0.01 {
		t.Fatalf("%s is to carry %.1f kg with %.1f kg in %d trips", h.List.Title, kg, h.List.Kit.GetVehiclePayloadKg(), trips)
	}
}

func wishesKept(t *rapid.T, in Input, h Home) {
	w := in.Wishes
	if w.Whole == WholeOnly {
		t.Fatalf("split, where only the whole was wished")
	}
	var tags []string
	met := map[string]int{}
	for _, g := range h.Given {
		tags = append(tags, g.Lot.Tag)
		if g.Want == nil {
			continue
		}
		if !slices.ContainsFunc(w.Together, func(to Together) bool { return slices.Contains(to.Tags, g.Lot.Tag) }) {
			met[g.Want.Id]++
		}
		if !slices.ContainsFunc(in.Candidates, func(c Candidate) bool {
			return c.List == h.List && c.Want == g.Want && c.Lot == g.Lot && c.Fit.Score >= w.LeastFit
		}) {
			t.Fatalf("%s does not meet that want, or not well enough", g.Lot.Tag)
		}
		if w.OwnKitOnly && score.Handles(h.List.Kit, g.Lot) == trade.No {
			t.Fatalf("%s needs hired help", g.Lot.Tag)
		}
	}
	for id, n := range met {
		if n > 1 {
			t.Fatalf("want %s is met by %d lots", id, n)
		}
	}
	for _, to := range w.Together {
		if to.Must && slices.Contains(tags, to.Tags[0]) != slices.Contains(tags, to.Tags[1]) {
			t.Fatalf("%v are torn apart: %v", to.Tags, tags)
		}
	}
}

// two cabinets, and three who want one: the school both, the others one each.
func cabinets() Input {
	lot := func(tag string) *pb.Lot {
		return &pb.Lot{Name: "shops/a/lots/" + tag, Tag: tag, Title: "Cabinet " + tag, Kind: pb.Kind_KIND_CABINETS, Price: dollars(100),
			Weight: &pb.Weight{MassKg: proto.Float64(300)}}
	}
	list := func(title string) *pb.WantedList {
		return &pb.WantedList{Title: title, Kit: &pb.Kit{VehiclePayloadKg: proto.Float64(1000)},
			Wants: []*pb.Want{{Id: "a", Title: "A cabinet"}, {Id: "b", Title: "Another cabinet"}}}
	}
	in := Input{Lots: []*pb.Lot{lot("C1"), lot("C2")}, Lists: []*pb.WantedList{list("School"), list("Printer")}}
	add := func(list, want, lot int, fit float64) {
		l := in.Lists[list]
		in.Candidates = append(in.Candidates, Candidate{l, l.Wants[want], in.Lots[lot], &pb.Fit{Score: fit}, &place.Road{Km: 10, LowKm: 9, HighKm: 11}})
	}
	add(0, 0, 0, 80)
	add(0, 1, 1, 70)
	add(1, 0, 1, 76)
	return in
}

func TestWhatAWishCosts(t *testing.T) {
	in := cabinets()
	in.Wishes.Together = []Together{{Tags: []string{"c1", "C2"}, Must: true}}
	p, err := Make(in, nevers)
	if err != nil {
		t.Fatal(err)
	}
	if p.Points != 250 || len(p.Homes) != 1 || p.Homes[0].List.Title != "School" {
		t.Fatalf("%d points, homes %v", p.Points, p.Homes)
	}
	if len(p.Alternatives) != 1 || p.Alternatives[0] != (Alternative{"keeping c1, C2 together costs 6 points", 6, true}) {
		t.Fatalf("alternatives %+v", p.Alternatives)
	}
}

func TestAPreferenceThatIsWorthIt(t *testing.T) {
	for _, c := range []struct {
		points int64
		home   string
	}{{5, "Printer"}, {7, "School"}} {
		in := cabinets()
		in.Lots, in.Candidates = in.Lots[1:], in.Candidates[1:]
		in.Wishes.Prefer = []Prefer{{"school", c.points}}
		p, err := Make(in, nevers)
		if err != nil || p.Homes[0].List.Title != c.home {
			t.Fatalf("with %d points more, C2 goes to %v (%v)", c.points, p.Homes, err)
		}
	}
}

func TestOneOfferForAllAgainstTheSplit(t *testing.T) {
	for _, c := range []struct {
		whole  Whole
		points int64
		want   bool
	}{{WholeOrNot, 0, false}, {WholePreferred, 79, false}, {WholePreferred, 81, true}, {WholeOnly, 0, true}} {
		in := cabinets()
		in.Wishes = Wishes{Whole: c.whole, WholePoints: c.points, WholeOffers: []WholeOffer{{List: "Printer"}}}
		p, err := Make(in, nevers)
		if err != nil || p.Whole != c.want {
			t.Fatalf("%+v: whole %v (%v)", c, p.Whole, err)
		}
		if len(p.Alternatives) == 0 {
			t.Errorf("%+v: nothing is said of the other way", c)
		}
	}
}

func TestWhatIsAskedFirst(t *testing.T) {
	in := cabinets()
	in.Lots[0].Price = nil
	in.Lots[1].Price = &pb.Money{CurrencyCode: "GBP", Units: 50}
	in.Lists[0].Purse = dollars(500)
	in.Lists[0].Kit = nil
	in.Candidates = in.Candidates[:2]
	p, err := Make(in, nevers)
	if err != nil {
		t.Fatal(err)
	}
	got := strings.Join(p.Homes[0].Ask, "\n")
	for _, want := range []string{"no price is said for 1 lot", "priced in GBP and their purse is in USD", "what vehicle will they come with"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not asked in:\n%s", want, got)
		}
	}
}

func TestWhyALotIsLeft(t *testing.T) {
	in := cabinets()
	in.Today = &pb.Date{Year: 2026, Month: 11, Day: 20}
	in.Lots[0].ClearBy = &pb.Date{Year: 2026, Month: 11, Day: 19}
	in.Lists[0].Kit.VehiclePayloadKg = proto.Float64(200)
	in.Lists[1].Purse = dollars(99)
	p, err := Make(in, nevers)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, l := range p.Left {
		got = append(got, l.Lot.Tag+": "+strings.Join(l.Why, "; "))
	}
	want := []string{
		"C1: School asks for it, but its clear-by day has passed",
		"C2: School asks for it, but it is more than they can fetch in 1 trip; Printer asks for it, but it costs more than they can spend",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q\nwant %q", got, want)
	}
}

func TestWrongWishes(t *testing.T) {
	for _, c := range []struct {
		wishes Wishes
		want   string
	}{
		{Wishes{Together: []Together{{Tags: []string{"C1", "Z"}}}}, `the shop has no lot "Z"`},
		{Wishes{Together: []Together{{Tags: []string{"C1"}}}}, "name two lots or more"},
		{Wishes{Together: []Together{{Tags: []string{"C1", "C2"}}, {Tags: []string{"c2", "C1"}}}}, "together with others already"},
		{Wishes{Prefer: []Prefer{{"Nobody", 1}}}, `no wanted list here is called "Nobody"`},
		{Wishes{Limits: []Limit{{List: "Nobody"}}}, "seekers: no wanted list"},
		{Wishes{WholeOffers: []WholeOffer{{List: "Nobody"}}}, "whole_offers: no wanted list"},
	} {
		in := cabinets()
		in.Wishes = c.wishes
		if _, err := Make(in, nevers); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
	in := cabinets()
	in.Lots[1].Tag = "c1"
	in.Wishes.Together = []Together{{Tags: []string{"C1", "C2"}}}
	if _, err := Make(in, nevers); err == nil || !strings.Contains(err.Error(), "two lots here have the tag") {
		t.Errorf("%v", err)
	}
}
