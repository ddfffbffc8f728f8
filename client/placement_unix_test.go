//go:build unix

package client

import (
	"fmt"
	"math/rand/v2"
	"syscall"
	"testing"
	"time"

	"heirpress/client/rehome"
	pb "heirpress/proto/heirpress/v1"
)

// BenchmarkPlacement draws up plans for 500 lots and 100 seekers, candidates and
// fits included, in at most ten seconds of the processor, so that what else the
// machine does plays no part.
func BenchmarkPlacement(b *testing.B) {
	for seed := range uint64(5) {
		r := rand.New(rand.NewPCG(seed, 7))
		lots, lists := largeShop(b, 500, r), crowd(b, 100, r)
		b.Run(fmt.Sprint(seed), func(b *testing.B) {
			for b.Loop() {
				begun := processor(b)
				in := rehome.Input{Lots: lots, Lists: lists, Candidates: Candidates(lists, lots), Today: &pb.Date{Year: 2026, Month: 11, Day: 25}}
				b.ReportMetric((processor(b) - begun).Seconds(), "s-scoring")
				p, err := rehome.Make(in, func() rehome.Stop {
					return func() bool { return processor(b)-begun > 10*time.Second }
				})
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric((processor(b) - begun).Seconds(), "s-processor")
				b.ReportMetric(float64(p.Points), "points")
				b.ReportMetric(float64(p.Bound-p.Points), "points-gap")
				b.ReportMetric(float64(p.Points-p.Greedy), "above-greedy")
				b.ReportMetric(float64(len(in.Candidates)), "candidates")
				b.ReportMetric(float64(p.Placed()), "placed")
			}
		})
	}
}

// processor is how long this process has been worked on.
func processor(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
