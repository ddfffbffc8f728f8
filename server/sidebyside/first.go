package main

import (
	"context"
	"fmt"
	"time"
)

// firstSearch is how long a fresh process took.
type firstSearch struct {
	family string
	// ready is from the start of the process to its word that it listens; answer
	// from there to the answer of the first search.
	ready, answer time.Duration
}

// measureFirst starts the daemon anew for some families, and asks each once. The
// last stays under way. What is on disk is in the machine's cache.
func measureFirst(ctx context.Context, program, data string, d *daemon, s searches) (*daemon, []firstSearch, error) {
	var all []firstSearch
	for _, f := range families {
		if f.name == "prefix" || f.name == "slips" || f.name == "newest" || f.name == "nearest of a kind" {
			continue
		}
		if err := d.stop(); err != nil {
			return nil, nil, fmt.Errorf("heirpressd did not stop well: %w", err)
		}
		var err error
		if d, err = startDaemon(program, data); err != nil {
			return nil, nil, err
		}
		start := time.Now()
		if _, err := d.search.SearchLots(ctx, s.of(f, 0)); err != nil {
			return d, nil, fmt.Errorf("the first search, %s: %w", f.name, err)
		}
		all = append(all, firstSearch{f.name, d.ready.Sub(d.started), time.Since(start)})
	}
	return d, all, nil
}
