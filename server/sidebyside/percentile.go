package main

import (
	"slices"
	"time"
)

// times are how long calls took.
type times []time.Duration

// percentile is the least time that so many in a hundred were not slower than
// (nearest rank); 0 of none. The times must be sorted.
func (t times) percentile(p int) time.Duration {
	if len(t) == 0 {
		return 0
	}
	rank := (p*len(t) + 99) / 100
	return t[max(1, rank)-1]
}

// figures are what is told of many calls.
type figures struct {
	calls              int
	p50, p95, p99, max time.Duration
	// perSecond is how many one client got done.
	perSecond float64
}

// figuresOf sorts the times.
func figuresOf(t times) figures {
	slices.Sort(t)
	var sum time.Duration
	for _, one := range t {
		sum += one
	}
	f := figures{calls: len(t), p50: t.percentile(50), p95: t.percentile(95), p99: t.percentile(99), max: t.percentile(100)}
	if sum > 0 {
		f.perSecond = float64(len(t)) / sum.Seconds()
	}
	return f
}
