package server

import (
	"context"
	"errors"
	"time"
)

var (
	errDraining = errors.New("streams are to end")
	errNoMore   = errors.New("nothing more so far")
)

// waitForMore returns when the journal has gone on, or, with false, when it has
// not for a while. When streams are to end it returns a problem that says to
// come back.
func (r *Registry) waitForMore(ctx context.Context, after uint64, atMost time.Duration) (bool, error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	defer context.AfterFunc(r.draining, func() { cancel(errDraining) })()
	timer := time.AfterFunc(atMost, func() { cancel(errNoMore) })
	defer timer.Stop()
	err := r.store.Wait(ctx, after)
	switch cause := context.Cause(ctx); {
	case err == nil:
		return true, nil
	case errors.Is(cause, errNoMore):
		return false, nil
	case errors.Is(cause, errDraining):
		return false, shuttingDown()
	}
	return false, err
}

func shuttingDown() error {
	return tryAgain(ReasonShuttingDown, "the server is stopping: connect again with the last resume token", time.Second)
}
