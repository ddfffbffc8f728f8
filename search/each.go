package search

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// each does a piece of work for every scope, several at a time, the largest
// first, as they are listed. It returns the first error, and ctx's error between
// two pieces.
func (r *run) each(ctx context.Context, work func(*scope) error) error {
	workers := min(runtime.GOMAXPROCS(0), len(r.scopes))
	var next atomic.Int64
	if workers <= 1 {
		return inTurn(ctx, r.scopes, &next, work)
	}
	errs := make([]error, workers)
	one := func(w int) {
		defer recoverAs(&errs[w])
		errs[w] = inTurn(ctx, r.scopes, &next, work)
	}
	var others sync.WaitGroup
	for w := range workers - 1 {
		others.Go(func() { one(w) })
	}
	one(workers - 1)
	others.Wait()
	return firstOfErrors(errs)
}

// inTurn works on scopes until there are no more.
func inTurn(ctx context.Context, scopes []*scope, next *atomic.Int64, work func(*scope) error) error {
	for {
		i := int(next.Add(1)) - 1
		if i >= len(scopes) {
			return nil
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := work(scopes[i]); err != nil {
			return err
		}
	}
}

func firstOfErrors(errs []error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// shelf has pages for whoever works on a scope: one page goes from scope to
// scope, so that what is already on it shuts out the most.
type shelf struct {
	limit int
	after *Position

	mu    sync.Mutex
	pages []*page
}

func (s *shelf) take() *page {
	s.mu.Lock()
	defer s.mu.Unlock()
	last := len(s.pages) - 1
	if last < 0 {
		return newPage(s.limit, s.after)
	}
	p := s.pages[last]
	s.pages = s.pages[:last]
	return p
}

func (s *shelf) give(p *page) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.pages = append(s.pages, p)
}

// merged is one page of the best of all, once all pages have been given back.
func (s *shelf) merged() *page {
	merged := s.take()
	for _, p := range s.pages {
		for _, c := range p.kept {
			merged.offer(*c)
		}
	}
	return merged
}
