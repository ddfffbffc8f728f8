package main

import (
	"testing"
	"time"
)

// upTo is n times of 1 to n milliseconds.
func upTo(n int) (t times) {
	for i := range n {
		t = append(t, time.Duration(n-i)*time.Millisecond)
	}
	return t
}

// A percentile is the nearest rank: the least time that so many in a hundred
// were not slower than.
func TestFigures(t *testing.T) {
	for _, c := range []struct {
		times              times
		p50, p95, p99, max int // ms
		perSecond          float64
	}{
		{nil, 0, 0, 0, 0, 0},
		{upTo(1), 1, 1, 1, 1, 1000},
		{upTo(2), 1, 2, 2, 2, 2000.0 / 3},
		{upTo(100), 50, 95, 99, 100, 100_000.0 / 5050},
		{upTo(101), 51, 96, 100, 101, 101_000.0 / 5151},
		{upTo(500), 250, 475, 495, 500, 500_000.0 / 125_250},
	} {
		f := figuresOf(c.times)
		want := figures{len(c.times), in(c.p50), in(c.p95), in(c.p99), in(c.max), f.perSecond}
		if f != want || f.perSecond-c.perSecond > 1e-6 || c.perSecond-f.perSecond > 1e-6 {
			t.Errorf("%d times: got %+v, want %+v and %v a second", len(c.times), f, want, c.perSecond)
		}
	}
}

func in(ms int) time.Duration { return time.Duration(ms) * time.Millisecond }

func TestMiddle(t *testing.T) {
	for _, c := range []struct {
		numbers []int
		want    int
	}{{nil, 0}, {[]int{3}, 3}, {[]int{9, 1, 5}, 5}, {[]int{4, 1, 2, 3}, 3}} {
		if got := middle(c.numbers); got != c.want {
			t.Errorf("the middle of %v: got %d, want %d", c.numbers, got, c.want)
		}
	}
}
