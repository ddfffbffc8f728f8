package search

import (
	"context"
	"fmt"
	"io/fs"
	"path/filepath"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

// benchSizes are how many lots the benchmarks look among.
var benchSizes = []int{10_000, 100_000}

// benchLots makes plausible lots in a few thousand towns.
func benchLots(n int) []*pb.Lot {
	d := newDice(1)
	towns := make([]*pb.Town, 3000)
	for i := range towns {
		towns[i] = &pb.Town{Point: d.point()}
	}
	lots := make([]*pb.Lot, n)
	for i := range lots {
		lots[i] = d.lot(i, uint64(i+1))
		lots[i].Name = fmt.Sprintf("shops/s-%d/lots/l-%d", i/60, i)
		lots[i].History = []*pb.LotStep{{Change: uint64(i + 1)}}
		lots[i].Town = towns[(i/60*7919)%len(towns)]
	}
	return lots
}

// benchIndex builds an index of n lots, and reports how fast and how large.
func benchIndex(b *testing.B, n int) *Index {
	b.Helper()
	lots := benchLots(n)
	dir := b.TempDir()
	x := openIndex(b, dir)
	start := time.Now()
	for i := 0; i < n; i += followBatch {
		end := min(i+followBatch, n)
		if err := x.Apply(context.Background(), uint64(end), lots[i:end], nil); err != nil {
			b.Fatal(err)
		}
	}
	b.Logf("%d lots: %.0f lots a second, %d bytes a lot", n, float64(n)/time.Since(start).Seconds(), folderSize(dir)/int64(n))
	return x
}

func folderSize(dir string) (total int64) {
	_ = filepath.WalkDir(dir, func(_ string, entry fs.DirEntry, err error) error {
		if info, infoErr := entry.Info(); err == nil && infoErr == nil && !entry.IsDir() {
			total += info.Size()
		}
		return nil
	})
	return total
}

// benchQueries are searches as people make them, and some of the widest.
func benchQueries() map[string]Query {
	near := func(km float64) *pb.Near {
		n := &pb.Near{Point: &pb.Point{Latitude: 39.7589, Longitude: -84.1916}}
		if km > 0 {
			n.WithinRoadKm = &km
		}
		return n
	}
	press := []pb.Kind{pb.Kind_KIND_PRESS}
	mass := 500.0
	return map[string]Query{
		"text":             {Filter: &pb.LotFilter{Words: "platen KR15"}},
		"text kind 150 mi": {Filter: &pb.LotFilter{Words: "platen", Kinds: press, Near: near(241)}},
		"nearest of all":   {Filter: &pb.LotFilter{Near: near(0)}, Order: pb.LotOrder_LOT_ORDER_NEAREST},
		"nearest presses":  {Filter: &pb.LotFilter{Kinds: press, Near: near(0)}, Order: pb.LotOrder_LOT_ORDER_NEAREST},
		"half by words":    {Filter: &pb.LotFilter{Words: "press"}},
		"newest of all":    {Filter: nil, Order: pb.LotOrder_LOT_ORDER_NEWEST},
		"sheet and weight": {Filter: &pb.LotFilter{Sheet: &pb.Rectangle{WidthMm: 200, HeightMm: 250}, MaxMassKg: &mass}},
		"300 mi":           {Filter: &pb.LotFilter{Near: near(483)}},
	}
}

func BenchmarkSearch(b *testing.B) {
	for _, n := range benchSizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			x := benchIndex(b, n)
			for name, q := range benchQueries() {
				q.Limit = 20
				b.Run(name, func(b *testing.B) {
					var total int
					for b.Loop() {
						result, err := x.Search(context.Background(), q)
						if err != nil {
							b.Fatal(err)
						}
						total = result.Total
					}
					b.ReportMetric(float64(total), "found")
				})
			}
		})
	}
}

// BenchmarkColdOpen opens an index, searches it once and closes it, as the
// command line does.
func BenchmarkColdOpen(b *testing.B) {
	for _, n := range benchSizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			dir := coldIndex(b, n)
			q := benchQueries()["text kind 150 mi"]
			q.Limit = 20
			var opening, searching time.Duration
			for b.Loop() {
				start := time.Now()
				x, err := Open(dir, Options{})
				if err != nil {
					b.Fatal(err)
				}
				opened := time.Now()
				if _, err := x.Search(context.Background(), q); err != nil {
					b.Fatal(err)
				}
				opening += opened.Sub(start)
				searching += time.Since(opened)
				if err := x.Close(); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(opening.Microseconds())/float64(b.N)/1000, "ms-open")
			b.ReportMetric(float64(searching.Microseconds())/float64(b.N)/1000, "ms-search")
		})
	}
}

// coldIndex builds an index of n lots and closes it.
func coldIndex(b *testing.B, n int) string {
	b.Helper()
	dir := b.TempDir()
	x, err := Open(dir, Options{})
	if err != nil {
		b.Fatal(err)
	}
	lots := benchLots(n)
	for i := 0; i < n; i += followBatch {
		end := min(i+followBatch, n)
		if err := x.Apply(context.Background(), uint64(end), lots[i:end], nil); err != nil {
			b.Fatal(err)
		}
	}
	if err := x.Close(); err != nil {
		b.Fatal(err)
	}
	return dir
}

func BenchmarkRead(b *testing.B) {
	lots := benchLots(1000)
	for i := 0; b.Loop(); i++ {
		Read(lots[i%len(lots)])
	}
}

// BenchmarkApplyOne puts one lot into an index of 10,000: the time from a post
// to where it can be found.
func BenchmarkApplyOne(b *testing.B) {
	x := benchIndex(b, 10_000)
	lots := benchLots(1000)
	change := x.Change()
	for i := 0; b.Loop(); i++ {
		change++
		if err := x.Apply(context.Background(), change, lots[i%len(lots):][:1], nil); err != nil {
			b.Fatal(err)
		}
	}
}
