package sqlite

import (
	"context"
	"sync"
	"time"
)

// poll is how often a waiting caller looks for what other processes wrote.
var poll = 500 * time.Millisecond

// Wait is store.Store's.
func (s *Store) Wait(ctx context.Context, after uint64) error {
	for {
		// Asked for before the head is read, so that no commit falls between.
		moved := s.moved.next()
		head, err := s.Head(ctx)
		if err != nil {
			return err
		}
		if head > after {
			return nil
		}
		s.pause(ctx, moved)
	}
}

// pause returns when the head has moved, or it is time to look, or there is no
// more waiting: the next look tells which.
func (s *Store) pause(ctx context.Context, moved <-chan struct{}) {
	look := time.NewTimer(poll)
	defer look.Stop()
	select {
	case <-moved:
	case <-look.C:
	case <-ctx.Done():
	case <-s.closed:
	}
}

// signal tells all who wait that the journal's head has moved.
type signal struct {
	mu    sync.Mutex
	head  uint64
	moved chan struct{}
}

func (s *signal) init() { s.moved = make(chan struct{}) }

// next returns a channel that is closed when this process next moves the head.
func (s *signal) next() <-chan struct{} {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.moved
}

// advance says how far this process has moved the head.
func (s *signal) advance(head uint64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if head <= s.head {
		return
	}
	s.head = head
	close(s.moved)
	s.moved = make(chan struct{})
}
