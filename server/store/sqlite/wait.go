package sqlite

import (
	"context"
	"time"
)

// poll is how often a waiting caller looks for what other processes wrote.
var poll = 500 * time.Millisecond

// Wait is store.Store's.
func (s *Store) Wait(ctx context.Context, after uint64) error {
	for {
		// Asked for before the head is read, so that no commit falls between.
		_, moved := s.moved.Next()
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
