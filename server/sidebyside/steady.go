package main

import (
	"context"
	"errors"
	"sync"
	"time"
)

const (
	steadyRate = 1_000 // lots a second
	steadyStep = 100   // lots at a time
)

// steadily posts at the steady rate while a task runs, and tells how many lots a
// second it came to.
func steadily(ctx context.Context, e engine, task func()) (rate float64, err error) {
	posting, stop := context.WithCancel(ctx)
	var done sync.WaitGroup
	posted, start := 0, time.Now()
	done.Go(func() {
		for posting.Err() == nil {
			if fault := e.steady(ctx, steadyStep); fault != nil {
				err = fault
				return
			}
			posted += steadyStep
			due := start.Add(time.Duration(posted) * time.Second / steadyRate)
			select {
			case <-posting.Done():
			case <-time.After(time.Until(due)):
			}
		}
	})
	task()
	stop()
	done.Wait()
	rate = perSecond(posted, time.Since(start))
	return rate, errors.Join(err, e.unsteady(ctx))
}
