package search

import (
	"context"
	"errors"
)

// State is what there is to know of an index without searching it.
type State struct {
	// Change is the change number it has reached.
	Change uint64
	// Lots is how many lots it holds.
	Lots uint64
	// Damaged tells that it is being built anew.
	Damaged bool
}

// State tells how the index stands.
func (x *Index) State(ctx context.Context) (s State, err error) {
	s.Change = x.Change()
	g, err := x.enter(ctx)
	if errors.Is(err, ErrDamaged) {
		s.Damaged = true
		return s, nil
	}
	if err != nil {
		return s, err
	}
	defer x.leave(g)
	defer recoverAs(&err)
	snapshot, err := g.snapshot()
	if err != nil {
		return s, err
	}
	defer func() { _ = snapshot.Close() }()
	s.Lots, err = snapshot.DocCount()
	return s, err
}

// Healthy tells whether searches are answered: no damage was found, the index is
// open, and it could be written when it last had to be.
func (x *Index) Healthy() bool {
	x.mu.RLock()
	defer x.mu.RUnlock()
	return !x.closed && x.now.health() == nil && !x.now.unwritten.Load()
}
