package trade

import (
	"maps"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"

	"pgregory.net/rapid"
)

func counts(b Bill) []*pb.SortCount { return b.Counts() }

func TestSet(t *testing.T) {
	lantern := Bill{"L": 2, "A": 3, "N": 2, "T": 2, "E": 2, "R": 1, "F": 1, "S": 1, "I": 1, "V": 1}
	for _, c := range []struct {
		have  Bill
		text  string
		short Bill
	}{
		// LANTERN FESTIVAL takes L2 A2 N2 T2 E2 R1 F1 S1 I1 V1.
		{lantern, "LANTERN FESTIVAL", Bill{}},
		{Bill{"L": 1, "A": 3, "N": 2, "T": 2, "E": 1, "R": 1, "F": 1, "S": 1, "I": 1}, "LANTERN FESTIVAL", Bill{"L": 1, "E": 1, "V": 1}},
		{lantern, "Lantern", Bill{"a": 1, "n": 2, "t": 1, "e": 1, "r": 1}},
		{Bill{}, " \n\t", Bill{}},
		{Bill{}, "", Bill{}},
		{Bill{"I": 1, "T": 1, "'": 1, "S": 1}, "IT’S", Bill{}},
		{Bill{"é": 1}, "e\u0301", Bill{}},
		{Bill{".": 3}, "…", Bill{}},
		{Bill{"o": 1, "ffi": 1, "c": 1, "e": 1}, "office", Bill{}},
		{Bill{"o": 1, "ff": 1, "i": 1, "c": 1, "e": 1}, "office", Bill{}},
		{Bill{"o": 1, "f": 1, "fi": 1, "c": 1, "e": 1}, "office", Bill{}},
		// An ff that is there does no harm where f and fi serve better.
		{Bill{"o": 1, "f": 1, "ff": 1, "fi": 1, "c": 1, "e": 1}, "office", Bill{}},
		{Bill{"ffi": 1, "ff": 1}, "ffi ff", Bill{}},
		{Bill{"ff": 2, "l": 1, "i": 1}, "ffi ffl", Bill{}},
		{Bill{"fl": 1, "fi": 1}, "fifl", Bill{}},
		{Bill{"fi": 5}, "if", Bill{"f": 1, "i": 1}},
	} {
		if short := Set(c.have, c.text); !maps.Equal(short, c.short) {
			t.Errorf("%v setting %q is short of %v, want %v", c.have, c.text, short, c.short)
		}
	}
}

// TestSetIsExact holds Set against a search through every way of setting a text
// of f's, i's and l's with ligatures.
func TestSetIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.ReplaceAll(rapid.StringOfN(rapid.SampledFrom([]rune("ffil ")), 0, 12, -1).Draw(t, "text"), "fff", "ff ")
		have := Bill{}
		for _, s := range []string{"f", "i", "l", "ff", "fi", "fl", "ffi", "ffl"} {
			have[s] = rapid.IntRange(0, 3).Draw(t, s)
		}
		if got, want := Set(have, text).Pieces(), leastShort(maps.Clone(have), text); got != want {
			t.Fatalf("%v setting %q is %d short, want %d", have, text, got, want)
		}
	})
}

// leastShort tries every sort that the text could begin with.
func leastShort(have Bill, text string) int {
	text = strings.TrimLeft(text, " ")
	if text == "" {
		return 0
	}
	best := len(text)
	for _, s := range []string{text[:1], "ff", "fi", "fl", "ffi", "ffl"} {
		if rest, ok := strings.CutPrefix(text, s); ok {
			have[s]--
			if have[s] >= 0 {
				best = min(best, leastShort(have, rest))
			} else if len(s) == 1 {
				best = min(best, 1+leastShort(have, rest))
			}
			have[s]++
		}
	}
	return best
}

func TestSetNeverWorseForMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.SampledFrom([]rune("ABEeffil. ")), 0, 20, -1).Draw(t, "text")
		have, more := Bill{}, Bill{}
		for _, s := range []string{"A", "B", "E", "e", "f", "i", "l", "ff", "fi", "fl", "ffi", "ffl", "."} {
			have[s] = rapid.IntRange(0, 4).Draw(t, s)
			more[s] = have[s] + rapid.IntRange(0, 2).Draw(t, "more "+s)
		}
		if a, b := Set(have, text).Pieces(), Set(more, text).Pieces(); b > a {
			t.Fatalf("%q: %v is %d short, and %v is %d", text, have, a, more, b)
		}
	})
}

func TestBill(t *testing.T) {
	b := BillOf([]*pb.SortCount{{Sort: "e", Count: 3}, {Sort: "e", Count: 2}, {Sort: "a", Count: -4}})
	if b["e"] != 5 || b["a"] != 0 || b.Pieces() != 5 || len(b.Sorts()) != 2 || b.Sorts()[0] != "a" {
		t.Errorf("counted as %v", b)
	}
	if back := BillOf(counts(b)); !maps.Equal(back, b) {
		t.Errorf("%v came back as %v", b, back)
	}
	want := Bill{"e": 4, "Q": 1}
	if got := (Bill{"e": 100}).Supply(want); got != 0.8 {
		t.Errorf("a drawer full of e's supplies %v", got)
	}
	if got := (Bill{}).Supply(Bill{}); got != 1 {
		t.Errorf("an empty bill is supplied %v", got)
	}
	if short := (Bill{"e": 1}).Short(want); !maps.Equal(short, Bill{"e": 3, "Q": 1}) {
		t.Errorf("short of %v", short)
	}
	for sort, g := range map[string]Group{"A": Capitals, "z": LowerCase, "0": Figures, "&": Points, "£": Points, "ffi": OtherSorts, "@": OtherSorts, "é": OtherSorts, "": OtherSorts} {
		if GroupOf(sort) != g {
			t.Errorf("%q is of group %v", sort, GroupOf(sort))
		}
	}
}

// TestBookBillScales: 400 lb of the book bill has half of every sort, and 100 lb
// of it still has every letter.
func TestBookBillScales(t *testing.T) {
	half := BookBill().Scale(400, BookBillLb)
	for s, n := range BookBill() {
		if half[s] != n/2 {
			t.Errorf("400 lb has %d of %s, want %d", half[s], s, n/2)
		}
	}
	small := BookBill().Scale(100, BookBillLb)
	if small["e"] != 1500 || small["z"] != 25 || small["Z"] != 10 || small["q"] != 63 {
		t.Errorf("100 lb has e %d, z %d, Z %d, q %d", small["e"], small["z"], small["Z"], small["q"])
	}
}

// TestSchemesGrow: a larger fount has no fewer of any sort, and every fount has at
// least one of every letter that it has at all.
func TestSchemesGrow(t *testing.T) {
	for n := 1; n < 200; n++ {
		small, large := Scheme{n, n, n}.Bill(), Scheme{n + 1, n + 1, n + 1}.Bill()
		for s := range small {
			if small[s] < 1 || large[s] < small[s] {
				t.Fatalf("%d has %d of %s, %d has %d", n, small[s], s, n+1, large[s])
			}
		}
		if small.Sum(Capitals) == 0 || small.Sum(LowerCase) == 0 || small.Sum(Figures) < 10 {
			t.Fatalf("%v has no fount", Scheme{n, n, n})
		}
	}
	if b := (Scheme{Caps: 3}).Bill(); b.Sum(LowerCase) != 0 || b.Sum(Figures) != 0 {
		t.Errorf("3A has lower case or figures: %v", b)
	}
}

func TestUsable(t *testing.T) {
	for _, c := range []struct {
		scheme   Scheme
		change   Bill
		as       float64
		limiting string
	}{
		{Scheme{Caps: 5}, nil, 5, ""},
		{Scheme{Caps: 5}, Bill{"E": 3}, 2.5, "E"},
		{Scheme{Caps: 5}, Bill{"E": 3, "Q": 0}, 0, "Q"},
		{Scheme{Caps: 5}, Bill{".": 0}, 5, ""},
		{Scheme{Caps: 25, Lower: 50}, Bill{"e": 33}, 25 * 33. / 67, "e"},
		{Scheme{Lower: 10}, Bill{"a": 4}, 4, "a"},
	} {
		b := c.scheme.Bill()
		maps.Copy(b, c.change)
		if as, limiting := c.scheme.Usable(b); !near(as, c.as) || limiting != c.limiting {
			t.Errorf("%v with %v behaves as %v for want of %q, want %v, %q", c.scheme, c.change, as, limiting, c.as, c.limiting)
		}
	}
}
