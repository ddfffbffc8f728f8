package standing_test

import (
	"fmt"
	"runtime"
	"slices"
	"sync"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/score"
	"heirpress/search/standing"
	"heirpress/search/standing/standingtest"
)

const (
	million = 1_000_000
	perList = 4
)

// benchSet is a million wants in lists of four, and how much they hold.
type benchSet struct {
	wants   *standing.Wants
	filters []*search.Filter // some of them, compiled, for the naive scan
	heap    float64
}

var (
	typical = sync.OnceValue(func() *benchSet { return newBenchSet((*standingtest.Dice).List) })
	mixed   = sync.OnceValue(func() *benchSet { return newBenchSet((*standingtest.Dice).MixedList) })
	broad   = sync.OnceValue(func() *benchSet { return newBenchSet((*standingtest.Dice).BroadList) })
)

// scanned is how many of the wants the naive scan looks at; its figure is
// reckoned up to a million.
const scanned = 20_000

func newBenchSet(list func(*standingtest.Dice, string, int) *pb.WantedList) *benchSet {
	before := heap()
	d, set := standingtest.New(1), &benchSet{wants: standing.New()}
	for n := range uint64(million / perList) {
		l := list(d, "a list", perList)
		asks := asksOf(l)
		set.wants.Put(n, asks)
		for _, a := range asks {
			if len(set.filters) < scanned {
				set.filters = append(set.filters, search.Compile(a.Filter))
			}
		}
	}
	set.heap = float64(heap()-before) - scanned*sizeOfFilter
	return set
}

const sizeOfFilter = 700 // about, and little against a million wants

func asksOf(l *pb.WantedList) (asks []standing.Ask) {
	for _, w := range l.GetWants() {
		asks = append(asks, standing.Ask{Filter: score.Filter(l, w), Marked: len(w.GetMustHave()) > 0})
	}
	return asks
}

// BenchmarkMeeting finds what a lot meets of a million wants, beside a scan of
// them all.
func BenchmarkMeeting(b *testing.B) {
	for _, c := range []struct {
		name string
		set  func() *benchSet
	}{{"typical", typical}, {"mixed", mixed}, {"broad", broad}} {
		b.Run(c.name+"/found", func(b *testing.B) { benchMeeting(b, c.set()) })
		b.Run(c.name+"/scanned", func(b *testing.B) { benchScan(b, c.set()) })
	}
}

func benchMeeting(b *testing.B, set *benchSet) {
	d := standingtest.New(2)
	lots := make([]*search.Facts, 2000)
	for i := range lots {
		lots[i] = search.Read(d.Lot(fmt.Sprint("shops/a/lots/", i)))
	}
	took := make([]time.Duration, 0, b.N)
	met := 0
	for i := 0; b.Loop(); i++ {
		start := time.Now()
		met += len(set.wants.Meeting(lots[i%len(lots)], nil))
		took = append(took, time.Since(start))
	}
	slices.Sort(took)
	micros := func(share float64) float64 { return took[int(share*float64(len(took)-1))].Seconds() * 1e6 }
	b.ReportMetric(micros(0.5), "p50-µs")
	b.ReportMetric(micros(0.99), "p99-µs")
	b.ReportMetric(float64(met)/float64(len(took)), "met/lot")
	b.ReportMetric(set.heap/million, "B/want")
	runtime.KeepAlive(set)
}

func benchScan(b *testing.B, set *benchSet) {
	d := standingtest.New(2)
	var spent time.Duration
	lots := 0
	for i := 0; b.Loop(); i++ {
		lot := search.Read(d.Lot(fmt.Sprint("shops/a/lots/", i)))
		start := time.Now()
		for _, f := range set.filters {
			f.Admits(lot)
		}
		spent += time.Since(start)
		lots++
	}
	b.ReportMetric(spent.Seconds()/float64(lots)*1e6*million/float64(len(set.filters)), "µs/million")
}

// BenchmarkReadLot reads a lot as searching needs it, which every lot costs once
// before it is held against anything.
func BenchmarkReadLot(b *testing.B) {
	lot := standingtest.New(2).Lot("shops/a/lots/1")
	for b.Loop() {
		search.Read(lot)
	}
}

// BenchmarkRead has a million wants stand that were written.
func BenchmarkRead(b *testing.B) {
	d, w := standingtest.New(1), standing.New()
	written, bytes := make([][]byte, million/perList), 0
	for n := range written {
		asks := asksOf(d.List("a list", perList))
		w.Put(uint64(n), asks)
		written[n] = w.Append(nil, uint64(n))
		bytes += len(written[n])
	}
	b.ReportMetric(float64(bytes)/million, "written-B/want")
	for b.Loop() {
		w = standing.New()
		for _, one := range written {
			if err := w.Read(one); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// BenchmarkPut has one want more stand beside a million.
func BenchmarkPut(b *testing.B) {
	set, d := typical(), standingtest.New(3)
	lists := make([][]standing.Ask, 1000)
	for i := range lists {
		lists[i] = asksOf(d.List("a list", 1))
	}
	for i := 0; b.Loop(); i++ {
		set.wants.Put(uint64(million+i%len(lists)), lists[i%len(lists)])
	}
}
