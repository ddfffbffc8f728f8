package routing

import (
	"errors"
	"sync"
	"time"
)

const (
	// failuresToRest is after how many failures in a row a service is let be, and
	// restFor for how long.
	failuresToRest = 3
	restFor        = 30 * time.Second
)

// rest lets a service be that has failed too often. The zero value has seen no
// failure.
type rest struct {
	mu       sync.Mutex
	failures int
	until    time.Time
}

// may tells whether the service may be asked now.
func (r *rest) may(now time.Time) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return !now.Before(r.until)
}

// note notes how a call ended. After a rest a single failure begins the next.
func (r *rest) note(err error, now time.Time) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if err == nil || errors.Is(err, errNoRoute) {
		r.failures, r.until = 0, time.Time{}
		return
	}
	if r.failures++; r.failures >= failuresToRest {
		r.until = now.Add(restFor)
	}
}
