package lots

import (
	"math"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
)

// wire is a shop in bytes.
func wire(t *testing.T, s *Shop) []byte {
	t.Helper()
	var all []byte
	for _, m := range append([]*pb.Lot{{Title: s.Shop.String(), Description: s.Town.Label()}}, s.Lots...) {
		b, err := proto.MarshalOptions{Deterministic: true}.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, b...)
	}
	for _, state := range s.Later {
		all = append(all, byte(state))
	}
	return all
}

// A seed makes the same shops each time, whichever shops were made before, and
// another seed makes others.
func TestTheSameSeedMakesTheSameShops(t *testing.T) {
	a, b, other := New(7), New(7), New(8)
	for _, number := range []int{0, 1, 2, 50, 7_000, 1_000_000} {
		first := wire(t, a.Shop(number))
		b.Shop(number + 1)
		if string(first) != string(wire(t, b.Shop(number))) {
			t.Errorf("shop %d is not the same again", number)
		}
		if string(first) == string(wire(t, other.Shop(number))) {
			t.Errorf("shop %d is the same with another seed", number)
		}
	}
}

// There are as many lots as are asked for, in shops of 1 to 500, each with a
// title and tags of its own.
func TestShopsHaveSoManyLots(t *testing.T) {
	for _, want := range []int{0, 1, 499, 20_000} {
		got, titles := 0, map[string]bool{}
		for shop := range New(1).Shops(want) {
			n := len(shop.Lots)
			if n < 1 || n > mostInShop || len(shop.Later) != n {
				t.Fatalf("%s has %d lots and %d states", shop.Shop.GetTitle(), n, len(shop.Later))
			}
			if titles[shop.Shop.GetTitle()] {
				t.Fatalf("two shops are called %s", shop.Shop.GetTitle())
			}
			got, titles[shop.Shop.GetTitle()] = got+n, true
		}
		if got != want {
			t.Errorf("got %d lots, want %d", got, want)
		}
	}
}

// No two shops share a title, also when the words for them begin again.
func TestTitlesAreTheirOwn(t *testing.T) {
	g := New(3)
	for _, number := range []int{0, 5, 59_999} {
		a, b := g.Shop(number).Shop.GetTitle(), g.Shop(number+wordsFromShops).Shop.GetTitle()
		if a == b {
			t.Errorf("shops %d and %d are both called %s", number, number+wordsFromShops, a)
		}
	}
}

// survey is what twenty thousand lots are like.
type survey struct {
	lots    int
	kinds   map[pb.Kind]int
	uses    map[string]int // of each token
	towns   map[string]int
	states  map[pb.LotState]int
	priced  int
	weighed int
	sized   int // of presses
}

func surveyOf(want int) *survey {
	s := &survey{kinds: map[pb.Kind]int{}, uses: map[string]int{}, towns: map[string]int{}, states: map[pb.LotState]int{}}
	for shop := range New(1).Shops(want) {
		s.towns[shop.Town.Label()]++
		for i, lot := range shop.Lots {
			s.add(lot, shop.Later[i])
		}
	}
	return s
}

func (s *survey) add(lot *pb.Lot, later pb.LotState) {
	s.lots++
	s.kinds[lot.GetKind()]++
	s.states[max(lot.GetState(), later)]++
	if lot.GetPrice() != nil {
		s.priced++
	}
	if lot.GetWeight() != nil {
		s.weighed++
	}
	if lot.GetPress().GetChase() != nil || lot.GetPress().GetBed() != nil || lot.GetPress().GetPlaten() != nil {
		s.sized++
	}
	for _, word := range slices.Concat(search.Read(lot).Tokens()...) {
		s.uses[word]++
	}
}

// The lots are as a registry's would be: in the proportions of the kinds, some
// without price or weight, most offered, in many towns, of many words of which
// few are common.
func TestLotsArePlausible(t *testing.T) {
	s := surveyOf(20_000)
	for _, c := range []struct {
		what      string
		got       int
		low, high float64 // shares of all lots
	}{
		{"metal type", s.kinds[pb.Kind_KIND_METAL_TYPE], 0.40, 0.55},
		{"cuts", s.kinds[pb.Kind_KIND_CUTS], 0.10, 0.18},
		{"wood type", s.kinds[pb.Kind_KIND_WOOD_TYPE], 0.06, 0.12},
		{"presses", s.kinds[pb.Kind_KIND_PRESS], 0.05, 0.11},
		{"presses of known size", s.sized, 0.04, 0.10},
		{"cabinets", s.kinds[pb.Kind_KIND_CABINETS], 0.04, 0.10},
		{"other", s.kinds[pb.Kind_KIND_OTHER], 0.003, 0.02},
		{"priced", s.priced, 0.5, 0.7},
		{"weighed", s.weighed, 0.2, 0.5},
		{"offered", s.states[pb.LotState_LOT_STATE_OFFERED], 0.9, 0.98},
		{"draft", s.states[pb.LotState_LOT_STATE_DRAFT], 0.01, 0.03},
		{"promised", s.states[pb.LotState_LOT_STATE_PROMISED], 0.01, 0.03},
		{"different words", len(s.uses), 0.3, 5},
		{"towns", len(s.towns), 0.005, 0.05},
	} {
		if share := float64(c.got) / float64(s.lots); share < c.low || share > c.high {
			t.Errorf("%s: %d of %d lots, %.3f: want %.3f to %.3f", c.what, c.got, s.lots, share, c.low, c.high)
		}
	}
	if len(s.kinds) != 13 {
		t.Errorf("lots are of %d kinds, want 13", len(s.kinds))
	}
	s.checkSpread(t)
}

// checkSpread wants words as unevenly used as words are: the hundredth most
// common at least five times as often as the thousandth.
func (s *survey) checkSpread(t *testing.T) {
	var uses []int
	for _, n := range s.uses {
		uses = append(uses, n)
	}
	slices.Sort(uses)
	slices.Reverse(uses)
	if len(uses) < 5_000 || uses[99] < 5*uses[999] {
		t.Errorf("%d words; the 100th is used %d times, the 1,000th %d times, the 5,000th %d times",
			len(uses), uses[99], uses[999], uses[min(4_999, len(uses)-1)])
	}
}

// Every number below the count of words has a word of its own.
func TestWordsAreDifferent(t *testing.T) {
	seen := make(map[string]int, words)
	for n := range words {
		if before, ok := seen[Word(n)]; ok {
			t.Fatalf("words %d and %d are both %s", before, n, Word(n))
		}
		seen[Word(n)] = n
	}
}

// What is drawn by weight comes in about those shares.
func TestDraw(t *testing.T) {
	d := newDice(1, 1)
	times := map[string]int{}
	for range 10_000 {
		times[draw(d, []weighted[string]{{3, "a"}, {1, "b"}, {0, "c"}})]++
	}
	if share := float64(times["a"]) / 10_000; math.Abs(share-0.75) > 0.03 || times["c"] > 0 {
		t.Errorf("got %v, want about three of a to one of b", times)
	}
}

// What a searcher draws by is the same for a seed and a stream.
func TestDiceAndTowns(t *testing.T) {
	first, again, other := Dice(1, 2).Uint64(), Dice(1, 2).Uint64(), Dice(1, 3).Uint64()
	if first != again || first == other {
		t.Error("dice of a seed and stream are not a sequence of their own")
	}
	if a, b := New(1).Town(4), New(1).Town(4); a != b {
		t.Errorf("a stream's town is %s and then %s", a.Label(), b.Label())
	}
}
