package main

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

const (
	crowdSize = 64
	crowdTime = 10 * time.Second
)

// crowd is what became of many clients at once.
type crowd struct {
	figures figures
	// took is how long they asked.
	took          time.Duration
	before, while memory
}

// measureCrowd has many clients, each on a connection of its own, ask searches of
// all families for some time.
func measureCrowd(ctx context.Context, d *daemon, s searches, long time.Duration) (*crowd, error) {
	c := new(crowd)
	pid := d.cmd.Process.Pid
	var err error
	if c.before, err = readMemory(pid); err != nil {
		return nil, err
	}
	if err := forgetPeak(pid); err != nil {
		return nil, err
	}
	var mu sync.Mutex
	var all times
	var next atomic.Int64
	start := time.Now()
	err = together(ctx, crowdSize, func(ctx context.Context) error {
		conn, err := dialDaemon(d.address)
		if err != nil {
			return err
		}
		defer func() { _ = conn.Close() }()
		client, own := pb.NewSearchServiceClient(conn), times{}
		for time.Since(start) < long {
			n := int(next.Add(1))
			request := s.of(families[n%len(families)], 10_000+n)
			begin := time.Now()
			_, err := client.SearchLots(ctx, request)
			if err != nil {
				return err
			}
			own = append(own, time.Since(begin))
		}
		mu.Lock()
		defer mu.Unlock()
		all = append(all, own...)
		return nil
	})
	c.took, c.figures = time.Since(start), figuresOf(all)
	var fault error
	c.while, fault = readMemory(pid)
	return c, errors.Join(err, fault)
}
