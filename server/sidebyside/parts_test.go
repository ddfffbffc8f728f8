package main

import (
	"bytes"
	"errors"
	"flag"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/server/sidebyside/lots"
)

// A call that makes no sense is refused with what would be right.
func TestParse(t *testing.T) {
	for _, c := range []struct {
		args []string
		says string // empty: it is right
	}{
		{nil, ""},
		{[]string{"-lots", "2000", "-without", "postgres, sqlite", "-only", "two words,text kind 150 miles"}, ""},
		{[]string{"-lots", "10"}, "at least 1000"},
		{[]string{"-without", "oracle"}, "it takes postgres or sqlite"},
		{[]string{"-only", "three words"}, "the families are two words,"},
		{[]string{"-most", "0"}, "must be more than 0"},
		{[]string{"more"}, "only flags are"},
		{[]string{"-nonsense"}, "not defined"},
	} {
		var said bytes.Buffer
		_, err := parse(c.args, &said)
		if (err == nil) != (c.says == "") || !strings.Contains(said.String(), c.says) {
			t.Errorf("%v: %v, said %q, want %q", c.args, err, said.String(), c.says)
		}
		if err != nil && !errors.Is(err, errUsage) {
			t.Errorf("%v: got %v", c.args, err)
		}
	}
	if _, err := parse([]string{"-h"}, new(bytes.Buffer)); !errors.Is(err, flag.ErrHelp) {
		t.Errorf("-h: got %v", err)
	}
	if o, err := parse([]string{"-without", "sqlite"}, new(bytes.Buffer)); err != nil || o.with("sqlite") || !o.with("postgres") || !o.wants("newest") {
		t.Errorf("got %+v, %v", o, err)
	}
}

// What Linux tells of a process is read right, also where its name has blanks
// and brackets.
func TestProcess(t *testing.T) {
	m := parseMemory("Name:\theirpressd\nVmHWM:\t    2048 kB\nVmRSS:\t    1024 kB\nRssAnon:\t     512 kB\nRssFile:\t     500 kB\nThreads:\t9\n")
	if want := (memory{resident: 1 << 20, anonymous: 512 << 10, file: 500 << 10, peak: 2 << 20}); m != want {
		t.Errorf("got %+v, want %+v", m, want)
	}
	const stat = "4711 (a (b) c) S 1 4711 4711 0 -1 4194560 900 0 0 0 150 25 300 40 20 0 9 0 100 200 300"
	for field, want := range map[int]time.Duration{ownTime: 1750 * time.Millisecond, childrenTime: 3400 * time.Millisecond} {
		if got, err := parseCPU(stat, field); err != nil || got != want {
			t.Errorf("field %d: got %v, %v; want %v", field, got, err, want)
		}
	}
	if _, err := parseCPU("4711 (x) S", ownTime); err == nil {
		t.Error("a line that is too short was taken")
	}
}

// Answers differ by what the family promises, and by nothing else.
func TestDiffer(t *testing.T) {
	a := answer{total: 3, names: []string{"x", "y"}}
	for _, c := range []struct {
		what string
		b    answer
		how  likeness
		same bool
	}{
		{"the same", answer{total: 3, names: []string{"x", "y"}}, alikeOrder, true},
		{"another total", answer{total: 4, names: []string{"x", "y"}}, alikeTotals, false},
		{"another order", answer{total: 3, names: []string{"y", "x"}}, alikeOrder, false},
		{"another order of ranked ones", answer{total: 3, names: []string{"y", "x"}}, alikeTotals, true},
		{"a shorter page", answer{total: 3, names: []string{"x"}}, alikeTotals, false},
		{"another correction", answer{total: 3, names: []string{"x", "y"}, taken: "z"}, alikeSlips, false},
		{"another correction where none matters", answer{total: 3, names: []string{"x", "y"}, taken: "z"}, alikeTotals, true},
	} {
		if got := differ(&a, &c.b, c.how); (got == "") != c.same {
			t.Errorf("%s: got %q", c.what, got)
		}
	}
	far := math.Inf(1)
	near := answer{total: 2, names: []string{"x", "y"}, km: []float64{0, 1_000}}
	beyond := answer{total: 1, km: []float64{far}}
	if got := differ(&beyond, &answer{total: 1, km: []float64{far}}, alikeOrder); got != "" {
		t.Errorf("no road in both: got %q", got)
	}
	if got := differ(&beyond, &answer{total: 1, km: []float64{5}}, alikeOrder); got == "" {
		t.Error("no road in one: taken for the same")
	}
	for _, c := range []struct {
		km   []float64
		same bool
	}{{[]float64{0.0005, 1_000.001}, true}, {[]float64{0.5, 1_000}, false}, {[]float64{0}, false}} {
		if got := differ(&near, &answer{total: 2, names: []string{"y", "x"}, km: c.km}, alikeOrder); (got == "") != c.same {
			t.Errorf("%v km: got %q", c.km, got)
		}
	}
}

// Facets are the same count by count; regions beyond the most may be left out,
// but nothing else.
func TestSameFacets(t *testing.T) {
	many := map[string]int{"KIND_PRESS": 9}
	for i := range mostRegions {
		many["US/"+lots.Word(i)] = 1
	}
	more := map[string]int{"US/XX": 1}
	for what, n := range many {
		more[what] = n
	}
	for _, c := range []struct {
		ours, theirs map[string]int
		same         bool
	}{
		{map[string]int{"KIND_CUTS": 2, "US": 2}, map[string]int{"KIND_CUTS": 2, "US": 2}, true},
		{map[string]int{"KIND_CUTS": 2}, map[string]int{"KIND_CUTS": 3}, false},
		{map[string]int{"KIND_CUTS": 2}, map[string]int{"KIND_CUTS": 2, "KIND_PRESS": 1}, false},
		{map[string]int{"US": 2}, map[string]int{"US": 2, "US/OH": 2}, false},
		{many, more, true},
	} {
		if got := sameFacets(c.ours, c.theirs); got != c.same {
			t.Errorf("%d and %d facets: got %t", len(c.ours), len(c.theirs), got)
		}
	}
}

// What ought to be found near a place is reckoned from lots by town: within reach
// by road, the nearest first, and last those to which no road leads.
func TestRoadAnswer(t *testing.T) {
	find := func(name string) (place.Point, int) {
		town, err := place.Find(name)
		if err != nil {
			t.Fatal(err)
		}
		return town.Point, townNumbers()[town.Point]
	}
	from, dayton := find("Dayton, OH")
	_, toledo := find("Toledo, OH")
	_, honolulu := find("Honolulu, HI")
	lots := map[int]int{dayton: 2, toledo: 30, honolulu: 5}
	for _, c := range []struct {
		withinKm   float64
		limit      int
		total, ten int // ten: hits within ten kilometres
		page, last int // last: hits that no road leads to
	}{
		{0, 40, 37, 2, 37, 5},
		{0, 10, 37, 2, 10, 0},
		{50, 10, 2, 2, 2, 0},
		{400, 10, 32, 2, 10, 0},
	} {
		a := roadAnswer(&question{from: &from, limit: c.limit}, c.withinKm, lots, nil)
		ten, last := 0, 0
		for _, km := range a.km {
			ten, last = ten+yes(km < 10), last+yes(math.IsInf(km, 1))
		}
		if a.total != c.total || len(a.km) != c.page || ten != c.ten || last != c.last || !slices.IsSorted(a.km) {
			t.Errorf("within %v km, %d a page: got %d, %v", c.withinKm, c.limit, a.total, a.km)
		}
	}
}

func yes(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Ratios are told with the goal beside them.
func TestRatios(t *testing.T) {
	m := func(perSecond float64, err error) *measured {
		return &measured{figures: figures{perSecond: perSecond}, err: err}
	}
	for _, c := range []struct {
		ours, theirs *measured
		want         string
	}{
		{m(300, nil), m(100, nil), "3×: met"},
		{m(250, nil), m(100, nil), "2.5×: missed"},
		{m(13_000, nil), m(100, nil), "130×: met"},
		{m(3, nil), m(100, nil), "0.03×: missed"},
		{m(3, nil), nil, "–"},
		{m(3, nil), m(1, errUsage), "–"},
	} {
		if got := ahead(c.ours, c.theirs); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// Verdicts count, and keep the first difference.
func TestCompare(t *testing.T) {
	ours := []*answer{{total: 1}, {total: 2}, {total: 3}}
	if v := compare(ours, []*answer{{total: 1}, nil, {total: 3}}, alikeTotals); v.same != 2 || v.of != 2 {
		t.Errorf("one that was not checked: got %+v", v)
	}
	v := compare(ours, []*answer{{total: 1}, {total: 9}, {total: 8}}, alikeTotals)
	if v.same != 1 || v.of != 3 || !strings.Contains(v.first, "search 1: 2 found, and here 9") {
		t.Errorf("got %+v", v)
	}
	if got := compare(ours, ours, alikeTotals).String(); got != "yes, 3 of 3" {
		t.Errorf("got %q", got)
	}
	if got := compare(nil, nil, alikeTotals).String(); got != "not compared" {
		t.Errorf("got %q", got)
	}
}

// What SQL reckons distance by is the great circle.
func TestDistancesAsSQLHasThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) place.Point {
			return place.Point{Lat: rapid.Float64Range(25.1, 49.9).Draw(t, name+" lat"), Lng: rapid.Float64Range(-124, -67).Draw(t, name+" lng")}
		}
		a, b := draw("a"), draw("b")
		km := place.GreatCircleKm(a, b)
		ax, ay, az := unit(a)
		bx, by, bz := unit(b)
		if dot := ax*bx + ay*by + az*bz; dot < cosine(km)-1e-12 || km > 1 && dot > cosine(km*0.999) {
			t.Fatalf("%v and %v are %v km apart, and their product is %v", a, b, km, dot)
		}
		south, north, west, east := box(a, km)
		if b.Lat < south || b.Lat > north || b.Lng < west || b.Lng > east {
			t.Fatalf("%v is %v km from %v, and not in %v to %v, %v to %v", b, km, a, south, north, west, east)
		}
	})
}

// Every token that a lot has can be put into a tsvector and into FTS5 without
// being taken apart.
func TestTokensStayWhole(t *testing.T) {
	for shop := range lots.New(2).Shops(3_000) {
		for _, lot := range shop.Lots {
			lot.Name, lot.Town = "shops/a/lots/b", shop.Town.Message()
			lot.History = []*pb.LotStep{{Change: 1}}
			r, err := rowOf(lot)
			if err != nil {
				t.Fatal(err)
			}
			for _, token := range slices.Concat(r.words[:]...) {
				if i := strings.IndexFunc(token, splits); i >= 0 {
					t.Fatalf("%q of %q would be taken apart at %q", token, lot.GetTitle(), token[i:])
				}
			}
		}
	}
}

// splits tells whether the tokenizer of the FTS5 table parts words at a letter.
func splits(r rune) bool {
	return r < 0x80 && r != '.' && !isLetter(r) && (r < '0' || r > '9')
}

// A token may hold what SQL sets store by.
func TestLexeme(t *testing.T) {
	for token, want := range map[string]string{"plain": "'plain'", "o'b": "'o''b'", `a\b`: `'a\\b'`} {
		if got := lexeme(token); got != want {
			t.Errorf("%s: got %s, want %s", token, got, want)
		}
	}
}
