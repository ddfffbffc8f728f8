package main

import (
	"context"
	"sync/atomic"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// idling is how much work is left when those it was for have gone.
type idling struct {
	asked, gaveUp int64
	// took is how long they asked.
	took time.Duration
	// busy is the daemon's processor time while they asked.
	busy time.Duration
	// after is its processor time from when the last had gone, and until how long
	// it was until it idled.
	after, until time.Duration
}

const (
	hurryTime = 3 * time.Second
	// idleWindow is how long a process must use no more than a tick to idle.
	idleWindow = 200 * time.Millisecond
	idleWait   = 30 * time.Second
)

// measureDeadlines has many clients ask the broadest search with deadlines of 1
// to 5 ms, and watches what the daemon does once they have all given up.
func measureDeadlines(ctx context.Context, d *daemon, s searches, long time.Duration) (*idling, error) {
	pid := d.cmd.Process.Pid
	if _, _, err := idle(ctx, pid); err != nil {
		return nil, err
	}
	before, err := readCPU(pid)
	if err != nil {
		return nil, err
	}
	i := &idling{took: long}
	if err := i.hurry(ctx, d, s, long); err != nil {
		return nil, err
	}
	now, err := readCPU(pid)
	if err != nil {
		return nil, err
	}
	i.busy = now - before
	i.after, i.until, err = idle(ctx, pid)
	return i, err
}

// hurry has the clients ask.
func (i *idling) hurry(ctx context.Context, d *daemon, s searches, long time.Duration) error {
	broadest := familyNamed("broadest with facets")
	var asked, gaveUp atomic.Int64
	start := time.Now()
	err := together(ctx, crowdSize, func(ctx context.Context) error {
		for n := 0; time.Since(start) < long; n++ {
			brief, cancel := context.WithTimeout(ctx, time.Duration(1+n%5)*time.Millisecond)
			_, err := d.search.SearchLots(brief, s.of(broadest, n))
			cancel()
			switch status.Code(err) {
			case codes.OK:
			case codes.DeadlineExceeded:
				gaveUp.Add(1)
			default:
				return err
			}
			asked.Add(1)
		}
		return nil
	})
	i.asked, i.gaveUp = asked.Load(), gaveUp.Load()
	return err
}

// idle waits until a process idles, and tells how much processor time it has
// used until then, and how long that was.
func idle(ctx context.Context, pid int) (used, until time.Duration, err error) {
	first, err := readCPU(pid)
	if err != nil {
		return 0, 0, err
	}
	start, quiet, last := time.Now(), time.Now(), first
	for time.Since(quiet) < idleWindow && time.Since(start) < idleWait && ctx.Err() == nil {
		time.Sleep(10 * time.Millisecond)
		now, err := readCPU(pid)
		if err != nil {
			return 0, 0, err
		}
		if now > last+tick {
			quiet, last = time.Now(), now
		}
	}
	return last - first, quiet.Sub(start), ctx.Err()
}
