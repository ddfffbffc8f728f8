package alerts

import (
	"context"
	"sync"
)

// A mark is a number that only grows, and that can be waited for.
type mark struct {
	mu    sync.Mutex
	at    uint64
	moved chan struct{} // closed at the next move
}

func newMark() *mark { return &mark{moved: make(chan struct{})} }

func (m *mark) set(to uint64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if to <= m.at {
		return
	}
	m.at = to
	close(m.moved)
	m.moved = make(chan struct{})
}

func (m *mark) waitFor(ctx context.Context, n uint64) error {
	for {
		m.mu.Lock()
		at, moved := m.at, m.moved
		m.mu.Unlock()
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
