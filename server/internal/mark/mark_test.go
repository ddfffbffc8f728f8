package mark_test

import (
	"context"
	"errors"
	"sync"
	"testing"

	"heirpress/server/internal/mark"
)

func TestMark(t *testing.T) {
	m := mark.New()
	m.Advance(5)
	_, moved := m.Next()
	m.Advance(3)
	select {
	case <-moved:
		t.Error("it moved back")
	default:
	}
	if at, _ := m.Next(); at != 5 {
		t.Errorf("at %d, not 5", at)
	}
	m.Advance(6)
	<-moved
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	if err := m.WaitFor(ended, 7); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	if err := m.WaitFor(ended, 6); err != nil {
		t.Errorf("what has been reached is not waited for: %v", err)
	}
}

// Whoever waits is woken, whoever else moves the mark meanwhile.
func TestMarkAtOnce(t *testing.T) {
	m := mark.New()
	var all sync.WaitGroup
	for n := range uint64(50) {
		all.Go(func() {
			if err := m.WaitFor(t.Context(), n); err != nil {
				t.Error(err)
			}
		})
		all.Go(func() { m.Advance(n) })
	}
	all.Wait()
}
