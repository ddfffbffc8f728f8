package standing_test

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/standing"
)

// truth is the wants that stand, looked at one by one.
type truth map[uint64][]ask

// ask is a want, and its filter as search.Matches would compile it.
type ask struct {
	standing.Ask
	filter *search.Filter
}

func (all truth) meeting(now, before *search.Facts) []string {
	var met []string
	for list, asks := range all {
		for i, a := range asks {
			if ok, _ := a.filter.Admits(now); ok {
				was := false
				if before != nil {
					was, _ = a.filter.Admits(before)
				}
				met = append(met, told(standing.Met{List: list, Want: i, Marked: a.Marked, Before: was}))
			}
		}
	}
	slices.Sort(met)
	return met
}

func told(m standing.Met) string {
	return fmt.Sprint(m.List, " ", m.Want, " ", m.Marked, " ", m.Before)
}

func meeting(w *standing.Wants, now, before *search.Facts) []string {
	var met []string
	for _, m := range w.Meeting(now, before) {
		met = append(met, told(m))
	}
	slices.Sort(met)
	return met
}

func (all truth) put(list uint64, asks []standing.Ask) {
	all[list] = nil
	for _, a := range asks {
		all[list] = append(all[list], ask{a, search.Compile(a.Filter)})
	}
}

func (d dice) asks() []standing.Ask {
	asks := make([]standing.Ask, 1+d.IntN(4))
	for i := range asks {
		asks[i] = standing.Ask{Filter: d.filter(), Marked: d.chance(20)}
	}
	return asks
}

// cases is how many times a lot is held against wants in the tests below: in all
// ten thousand lots against some hundreds of wants each.
const cases = 10_000

// What the standing wants say a lot meets is what search.Matches says, want by
// want, whatever was put, changed and dropped before; and also after the wants
// were written and read again.
func TestMeetingIsWhatMatchesSays(t *testing.T) {
	const rounds = 50
	for seed := range uint64(rounds) {
		d, w, all := newDice(seed), standing.New(), truth{}
		for range 120 {
			list := uint64(1 + d.IntN(100))
			if d.chance(15) {
				w.Drop(list)
				delete(all, list)
				continue
			}
			asks := d.asks()
			all.put(list, asks)
			w.Put(list, asks)
		}
		again := writtenAndRead(t, w, all)
		for i := range cases / rounds {
			now, before := search.Read(d.lot("a")), (*search.Facts)(nil)
			if d.chance(50) {
				before = search.Read(d.lot("a"))
			}
			want := all.meeting(now, before)
			for what, set := range map[string]*standing.Wants{"as put": w, "as read": again} {
				if got := meeting(set, now, before); !slices.Equal(got, want) {
					t.Fatalf("seed %d, lot %d, %s:\nmeets %v\nnot   %v", seed, i, what, got, want)
				}
			}
		}
		emptied(t, w, all)
		emptied(t, again, all)
	}
}

func writtenAndRead(t *testing.T, w *standing.Wants, all truth) *standing.Wants {
	t.Helper()
	again := standing.New()
	again.Put(7, []standing.Ask{{}})
	if err := again.Read(w.Append(nil, 7)); err != nil {
		t.Fatal(err)
	}
	for list := range all {
		if err := again.Read(w.Append(nil, list)); err != nil {
			t.Fatal(err)
		}
	}
	if again.Len() != w.Len() {
		t.Fatalf("%d wants were read, of %d", again.Len(), w.Len())
	}
	return again
}

// emptied drops every list, and sees that nothing is left.
func emptied(t *testing.T, w *standing.Wants, all truth) {
	t.Helper()
	for list := range all {
		w.Drop(list)
	}
	if left := w.Left(); w.Len() != 0 || left != 0 {
		t.Fatalf("all was dropped, and %d wants and %d other things are left", w.Len(), left)
	}
}

// What was written is read, or refused, but never read wrongly without a word.
func FuzzRead(f *testing.F) {
	d, w := newDice(1), standing.New()
	for list := range uint64(20) {
		asks := d.asks()
		w.Put(list, asks)
		f.Add(w.Append(nil, list))
	}
	f.Fuzz(func(t *testing.T, written []byte) {
		w := standing.New()
		if err := w.Read(written); err != nil {
			return
		}
		now := newDice(2).lot("a")
		for _, m := range w.Meeting(search.Read(now), nil) {
			if m.Want >= w.Len() {
				t.Errorf("want %d of %d", m.Want, w.Len())
			}
		}
	})
}

func TestReadRefuses(t *testing.T) {
	w := standing.New()
	asks := []standing.Ask{{Filter: &pb.LotFilter{Words: "platen", Regions: []string{"US"}, Sheet: &pb.Rectangle{WidthMm: 200, HeightMm: 300}}}}
	w.Put(1, asks)
	whole := w.Append(nil, 1)
	for n := range whole {
		if err := standing.New().Read(whole[:n]); err == nil {
			t.Errorf("%d bytes of %d were read", n, len(whole))
		}
	}
	if err := standing.New().Read(append(whole, 0)); err == nil {
		t.Error("a byte too many was read")
	}
}

// Meeting tells how far it is from where each want looks, in the order of the
// lists.
func TestMeetingTellsHowFar(t *testing.T) {
	w := standing.New()
	dayton := &pb.Near{Point: &pb.Point{Latitude: 39.7589, Longitude: -84.1916}}
	w.Put(9, []standing.Ask{{Filter: &pb.LotFilter{Words: "platen", Near: dayton}}, {Filter: &pb.LotFilter{Words: "corwen"}}, {}})
	w.Put(3, []standing.Ask{{Filter: &pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_PRESS}}}})
	columbus := &pb.Town{Point: &pb.Point{Latitude: 39.9612, Longitude: -82.9988}}
	lot := &pb.Lot{Name: "shops/a/lots/b", Title: "platen", Kind: pb.Kind_KIND_PRESS, State: pb.LotState_LOT_STATE_OFFERED, Town: columbus}
	met := w.Meeting(search.Read(lot), nil)
	if len(met) != 3 || met[0].List != 3 || met[1].List != 9 || met[1].Want != 0 || met[2].Want != 2 {
		t.Fatalf("met %v", met)
	}
	if !math.IsNaN(met[0].RoadKm) || met[1].RoadKm < 100 || met[1].RoadKm > 160 || !math.IsNaN(met[2].RoadKm) {
		t.Errorf("met %v: from Dayton to Columbus it is some 120 km", met)
	}
}

// Wants that come and go, with ever new words, leave nothing behind.
func TestMemoryIsSteady(t *testing.T) {
	d, w := newDice(5), standing.New()
	churn := func(from int) uint64 {
		for n := from; n < from+20_000; n++ {
			f := d.filter()
			if f != nil {
				f.Words += fmt.Sprintf(" serial-%d", n)
			}
			w.Put(uint64(n%1000), []standing.Ask{{Filter: f}})
		}
		return heap()
	}
	churn(0)
	first := churn(20_000)
	second := churn(40_000)
	if float64(second) > 1.5*float64(first)+1<<20 {
		t.Errorf("1,000 wants took %d bytes, and after 20,000 more had come and gone %d", first, second)
	}
	runtime.KeepAlive(w)
}

func heap() uint64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}
