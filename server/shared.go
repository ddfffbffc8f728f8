package server

import (
	"context"
	"path/filepath"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/alerts"
	"heirpress/server/deliver"
	"heirpress/server/store"
	"heirpress/server/store/postgres"
	"heirpress/server/store/sqlite"
)

// sharedStore is a store that other daemons may have open too.
type sharedStore interface {
	store.Store
	// Lead runs do whenever this process, of all that share the store, has a task.
	Lead(ctx context.Context, task string, do func(context.Context))
}

// File is where a registry of one daemon is kept in its data folder.
func File(dir string) string { return filepath.Join(dir, "registry.db") }

// OpenStore opens the store of a registry alone: the database at an address, or,
// if that is empty, the file in a data folder. Others may have it open.
func OpenStore(ctx context.Context, dir, address string) (store.Movable, error) {
	return openStore(ctx, dir, address, time.Now)
}

// openStore is OpenStore with a clock.
func openStore(ctx context.Context, dir, address string, clock func() time.Time) (store.Movable, error) {
	if address == "" {
		s, err := sqlite.Open(File(dir), sqlite.Clock(clock))
		if err != nil {
			return nil, err // not s: a nil of its type would look like a store
		}
		return s, nil
	}
	s, err := postgres.Open(ctx, address, postgres.Clock(clock))
	if err != nil {
		return nil, err
	}
	return s, nil
}

// IndexFolder is where the index of a store is kept. Each shared registry has one
// of its own, so that a data folder that is used for another does not answer from
// the wrong index. Nor is the index of a registry with accounts, which has only what
// is for everybody, that of one without.
func IndexFolder(dir string, s store.Store, a Accounts) string {
	name := "index"
	if a != NoAccounts {
		name = "public-index"
	}
	if p, ok := s.(*postgres.Store); ok {
		name += "-" + p.ID()
	}
	return filepath.Join(dir, name)
}

// match runs the matcher.
func (r *Registry) match(ctx context.Context) {
	r.alone(ctx, "matcher", func(ctx context.Context) {
		r.matching.Store(true)
		defer r.matching.Store(false)
		r.matcher.Run(ctx)
	})
}

// onlook has this daemon know the wants while its matcher does not: that runs in
// another.
func (r *Registry) onlook(ctx context.Context) {
	for ctx.Err() == nil {
		if !r.matcher.Loaded() {
			needed, cancel := context.WithCancel(ctx)
			r.working.Go(func() {
				defer cancel()
				for !r.matcher.Loaded() && needed.Err() == nil {
					pause(needed, onlookEvery)
				}
			})
			r.onlooker.Run(needed)
			cancel()
		}
		pause(ctx, onlookEvery)
	}
}

// onlookEvery is how often to look whether the matcher has come or gone.
const onlookEvery = 100 * time.Millisecond

func pause(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}

// knower tells who looks for a lot.
type knower interface {
	Loaded() bool
	WaitFor(ctx context.Context, change uint64) error
	Interest(lot *pb.Lot) *pb.Interest
}

// knowsAfter is how long a question waits for the wants to be read.
const knowsAfter = 5 * time.Second

// knows is who knows the wants that stood at a change or later, as soon as
// somebody does.
func (r *Registry) knows(ctx context.Context, change uint64) (knower, error) {
	ctx, cancel := context.WithTimeout(ctx, knowsAfter)
	defer cancel()
	for ctx.Err() == nil {
		for _, k := range []knower{r.matcher, r.onlooker} {
			if !k.Loaded() {
				continue
			}
			moment, cancel := context.WithTimeout(ctx, onlookEvery) // it may be about to hand over
			err := k.WaitFor(moment, change)
			cancel()
			if err == nil {
				return k, nil
			}
		}
		pause(ctx, 5*time.Millisecond)
	}
	return nil, tryAgain(ReasonNotReady, "the wants are being read: ask again", time.Second)
}

// send delivers alerts, from what the store has at each new start.
func (r *Registry) send(ctx context.Context) {
	r.alone(ctx, "deliverer", func(ctx context.Context) { deliver.New(r.store, *r.config.Deliver, r.log).Run(ctx) })
}

// alone runs a task that one process at a time may do: always, over a store of
// this process alone; over a shared one, whenever no other daemon does.
func (r *Registry) alone(ctx context.Context, task string, do func(context.Context)) {
	if r.shared == nil {
		do(ctx)
		return
	}
	r.shared.Lead(ctx, task, func(ctx context.Context) {
		r.log.Info("registry: this daemon has a task", "task", task)
		do(ctx)
		r.log.Info("registry: this daemon has a task no more", "task", task)
	})
}

// matchedLook is how often to look how far another daemon's matcher has come.
const matchedLook = 50 * time.Millisecond

// waitMatched returns when every change up to one was matched, here or elsewhere.
func (r *Registry) waitMatched(ctx context.Context, change uint64) error {
	if r.shared == nil || change == 0 {
		return r.matcher.WaitFor(ctx, change)
	}
	if err := r.store.Wait(ctx, change-1); err != nil {
		return err
	}
	for {
		done, err := alerts.Matched(ctx, r.store, change)
		if done || err != nil {
			return err
		}
		moment, cancel := context.WithTimeout(ctx, matchedLook)
		err = r.matcher.WaitFor(moment, change)
		cancel()
		if err == nil || ctx.Err() != nil {
			return err
		}
	}
}
