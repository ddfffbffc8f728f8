// Package mark has a number that only grows, and that can be waited for: how far
// a journal's head has moved, or its follower has come.
package mark

import (
	"context"
	"sync"
)

// Mark is such a number. Its methods may be called from many goroutines at once.
type Mark struct {
	mu    sync.Mutex
	at    uint64
	moved chan struct{} // closed at the next move
}

// New is a mark at 0.
func New() *Mark { return &Mark{moved: make(chan struct{})} }

// Advance moves the mark on. One that has come as far stays where it is.
func (m *Mark) Advance(to uint64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if to <= m.at {
		return
	}
	m.at = to
	close(m.moved)
	m.moved = make(chan struct{})
}

// Next returns where the mark is, and a channel that is closed at its next move.
func (m *Mark) Next() (at uint64, moved <-chan struct{}) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.at, m.moved
}

// WaitFor returns when the mark has come to n, or with ctx's error.
func (m *Mark) WaitFor(ctx context.Context, n uint64) error {
	for {
		at, moved := m.Next()
		if at >= n {
			return nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-moved:
		}
	}
}
