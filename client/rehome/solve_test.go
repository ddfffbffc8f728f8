package rehome

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func never() bool { return false }

// brute is the best plan by trying every one.
func brute(p *problem) int64 { return bruteFrom(newRoom(p), 0) }

func bruteFrom(r *room, i int) int64 {
	if i == len(r.p.options) {
		return 0
	}
	best := bruteFrom(r, i+1)
	if o := &r.p.options[i]; r.fits(o) {
		r.take(o)
		best = max(best, o.points+bruteFrom(r, i+1))
		r.untake(o)
	}
	return best
}

func (r *room) untake(o *option) {
	for _, l := range o.lots {
		r.taken[l] = false
	}
	for _, w := range o.wants {
		r.met[o.seeker][w] = false
	}
	r.loads[o.seeker].price -= o.price
	r.loads[o.seeker].weight -= o.weight
}

// someProblem draws a small problem, tight limits and lots that go together
// among them.
func someProblem(t *rapid.T) *problem {
	p := &problem{lots: rapid.IntRange(rapid.SampledFrom([]int{1, 4}).Draw(t, "least lots"), 7).Draw(t, "lots")}
	limit := rapid.OneOf(rapid.Just(int64(none)), rapid.Int64Range(0, 30))
	for range rapid.IntRange(1, 4).Draw(t, "seekers") {
		p.seekers = append(p.seekers, limits{rapid.IntRange(1, 3).Draw(t, "wants"), limit.Draw(t, "budget"), limit.Draw(t, "payload")})
	}
	for range rapid.IntRange(rapid.SampledFrom([]int{0, 10}).Draw(t, "least"), 14).Draw(t, "options") {
		s := rapid.IntRange(0, len(p.seekers)-1).Draw(t, "seeker")
		p.options = append(p.options, option{
			seeker: s,
			lots:   rapid.SliceOfNDistinct(rapid.IntRange(0, p.lots-1), 1, min(p.lots, 3), rapid.ID).Draw(t, "taken"),
			wants:  rapid.SliceOfNDistinct(rapid.IntRange(0, p.seekers[s].wants-1), 1, min(p.seekers[s].wants, 2), rapid.ID).Draw(t, "met"),
			points: rapid.Int64Range(1, 40).Draw(t, "points"),
			price:  rapid.Int64Range(0, 20).Draw(t, "price"),
			weight: rapid.Int64Range(0, 20).Draw(t, "weight"),
		})
	}
	return p
}

func TestSolveIsAsGoodAsTryingEveryPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := someProblem(t)
		a := p.solve(never)
		if want := brute(p); a.points != want || a.bound != want {
			t.Fatalf("plan of %d points, bound %d; trying every plan gives %d", a.points, a.bound, want)
		}
		checkAnswer(t, p, a)
	})
}

type fataler interface{ Fatalf(string, ...any) }

// checkAnswer takes the options one by one: each must fit, and the points add up.
func checkAnswer(t fataler, p *problem, a answer) {
	r := newRoom(p)
	var sum int64
	for _, i := range a.chosen {
		if !r.fits(&p.options[i]) {
			t.Fatalf("option %d does not fit with those before it", i)
		}
		r.take(&p.options[i])
		sum += p.options[i].points
	}
	if sum != a.points {
		t.Fatalf("the options come to %d points, not %d", sum, a.points)
	}
	if a.points < a.greedy || a.bound < a.points {
		t.Fatalf("greedy %d, plan %d, bound %d are out of order", a.greedy, a.points, a.bound)
	}
}

func TestAStoppedSolveSaysHowFarItGot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := someProblem(t)
		left := rapid.IntRange(0, 6).Draw(t, "asked before it stops")
		a := p.solve(func() bool { left--; return left < 0 })
		checkAnswer(t, p, a)
		if best := brute(p); a.points > best || a.bound < best {
			t.Fatalf("plan %d and bound %d do not hold the best, %d", a.points, a.bound, best)
		}
	})
}

// market is a problem of the size of a large shop: every seeker has up to five
// wants, each of a kind, a purse and a payload that often bind.
func market(lots, seekers int, seed uint64, tight float64) *problem {
	r := rand.New(rand.NewPCG(seed, 1))
	p := &problem{lots: lots}
	kind, price, weight, worth := make([]int, lots), make([]int64, lots), make([]int64, lots), make([]float64, lots)
	for l := range lots {
		kind[l] = r.IntN(8)
		price[l] = int64(20+r.IntN(980)) * 1000
		weight[l] = int64(10+r.IntN(900)) * 1000
		worth[l] = 30 + 50*r.Float64()
	}
	for s := range seekers {
		wants := 1 + r.IntN(5)
		p.seekers = append(p.seekers, limits{wants, int64(float64(300+r.IntN(2500)) * tight * 1000), int64(float64(300+r.IntN(2500)) * tight * 1000)})
		near := r.Float64()
		for w := range wants {
			k := r.IntN(8)
			for l := range lots {
				if kind[l] == k {
					p.options = append(p.options, option{seeker: s, lots: []int{l}, wants: []int{w}, points: 50 + int64(worth[l]*near+20*r.Float64()), price: price[l], weight: weight[l]})
				}
			}
		}
	}
	return p
}

func BenchmarkSolve(b *testing.B) {
	for _, tight := range []float64{4, 1, 0.5} {
		for seed := range uint64(3) {
			p := market(500, 100, seed, tight)
			b.Run(fmt.Sprintf("tight=%v/seed=%d", tight, seed), func(b *testing.B) {
				for b.Loop() {
					ctx, cancel := context.WithTimeout(b.Context(), 30*time.Second)
					a := p.solve(func() bool { return ctx.Err() != nil })
					cancel()
					b.ReportMetric(float64(a.bound-a.points), "points-gap")
					b.ReportMetric(float64(a.points-a.greedy), "above-greedy")
					b.ReportMetric(float64(a.points), "points")
				}
			})
		}
	}
}
