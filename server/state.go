package server

import (
	"context"

	"heirpress/server/alerts"
	"heirpress/server/deliver"
	"heirpress/server/store"
)

// State is how a registry stands, for its operator.
type State struct {
	// Head is the last change number of the journal; Index the one that the index
	// of this daemon has reached.
	Head, Index uint64
	// MatcherBehind is how many changes the matcher, here or elsewhere, is behind.
	MatcherBehind uint64
	// Matching tells whether the matcher runs in this daemon.
	Matching bool
	// Ready tells whether this daemon answers from all that it should.
	Ready bool
	// Shops and Lots are how many there are: lots as the index has them.
	Shops, Lots int
	// Waiting is what has to be delivered.
	Waiting deliver.Counts
}

// State tells how the registry stands.
func (r *Registry) State(ctx context.Context) (s State, err error) {
	s.Matching, s.Ready = r.matching.Load(), r.Ready()
	index, err := r.index.State(ctx)
	if err != nil {
		return s, err
	}
	s.Index, s.Lots = index.Change, int(index.Lots)
	if s.Head, err = r.store.Head(ctx); err != nil {
		return s, err
	}
	if s.MatcherBehind, err = alerts.Behind(ctx, r.store); err != nil {
		return s, err
	}
	if s.Shops, err = r.store.Count(ctx, store.Shops, ""); err != nil {
		return s, err
	}
	s.Waiting, err = deliver.Count(ctx, r.store)
	return s, err
}
