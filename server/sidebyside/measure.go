package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

// warmUps is how many searches of a family are asked before any is measured.
// Their answers are what is held against each other.
const warmUps = 60

// A family that takes long warms up with less: no longer than so many times as
// it is measured, but with a few in any case.
const (
	leastWarmUps = 10
	warmUpTimes  = 3
)

// measured is what an engine made of a family.
type measured struct {
	figures figures
	answers []*answer // of the warm-up
	// found is how many lots matched, in the middle, of the warm-up.
	found int
	// each is the engine's processor time for a search.
	each time.Duration
	err  error
}

// measurer asks families of an engine.
type measurer struct {
	searches searches
	most     int
	long     time.Duration
}

// family warms up with some searches, and then measures others, each asked
// once. A family that an engine does not answer is told as its error.
func (m *measurer) family(ctx context.Context, e engine, f family) *measured {
	got := new(measured)
	var totals []int
	start := time.Now()
	for number := range warmUps {
		if number >= leastWarmUps && time.Since(start) > warmUpTimes*m.long {
			break
		}
		request := m.searches.of(f, number)
		a, err := e.ask(ctx, request)
		if err != nil {
			got.err = fmt.Errorf("%s, search %d: %w", f.name, number, err)
			return got
		}
		totals = append(totals, a.total)
		if a, err = m.comparable(ctx, e, request, number, a); err != nil {
			got.err = fmt.Errorf("%s, search %d: %w", f.name, number, err)
			return got
		}
		got.answers = append(got.answers, a)
	}
	got.found = middle(totals)
	before, err := e.used()
	if err != nil {
		got.err = err
		return got
	}
	t, err := m.times(ctx, e, f)
	after, fault := e.used()
	got.figures, got.err = figuresOf(t), errors.Join(err, fault)
	got.each = (after - before) / time.Duration(max(1, len(t)))
	return got
}

// comparable is an answer as it can be held against heirpress's: a rival's to a
// search near a place is put right by our roads, and nil where that takes too
// long.
func (m *measurer) comparable(ctx context.Context, e engine, request *pb.SearchLotsRequest, number int, a *answer) (*answer, error) {
	r, isRival := e.(rival)
	switch {
	case !isRival || e.name() == bareName || request.GetFilter().GetNear() == nil:
		return a, nil
	case number >= roadChecks:
		return nil, nil
	}
	return byRoad(ctx, r, request, a)
}

// times measures until there are enough.
func (m *measurer) times(ctx context.Context, e engine, f family) (t times, err error) {
	requests := make([]*pb.SearchLotsRequest, m.most)
	for i := range requests {
		requests[i] = m.searches.of(f, warmUps+i)
	}
	for begin, i := time.Now(), 0; i < m.most && time.Since(begin) < m.long; i++ {
		start := time.Now()
		if _, err := e.ask(ctx, requests[i]); err != nil {
			return t, fmt.Errorf("%s, search %d: %w", f.name, warmUps+i, err)
		}
		t = append(t, time.Since(start))
	}
	return t, nil
}

// middle is the upper middle of some numbers, 0 of none.
func middle(numbers []int) int {
	if len(numbers) == 0 {
		return 0
	}
	return slices.Sorted(slices.Values(numbers))[len(numbers)/2]
}
