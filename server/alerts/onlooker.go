package alerts

import (
	"context"
	"log/slog"
	"sync/atomic"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/server/internal/mark"
	"heirpress/server/store"
)

// Onlooker knows the wants that stand, as the matcher does, and writes nothing:
// so a process whose store has its matcher elsewhere can tell who looks for a
// lot. Any number may run over a store.
type Onlooker struct {
	store   store.Store
	log     *slog.Logger
	reached *mark.Mark
	wants   *wants
	loaded  atomic.Bool
}

// NewOnlooker returns an onlooker over a store. It knows nothing until Run.
func NewOnlooker(s store.Store, log *slog.Logger) *Onlooker {
	return &Onlooker{store: s, log: log, reached: mark.New(), wants: noWants()}
}

// Run follows the wants until ctx is done, and then forgets them. A fault is
// logged, and they are read again.
func (o *Onlooker) Run(ctx context.Context) {
	defer o.forget()
	for ctx.Err() == nil {
		err := o.follow(ctx)
		if ctx.Err() != nil {
			return
		}
		o.forget()
		o.log.Error("alerts: the wants are read again", "error", err)
		select {
		case <-ctx.Done():
		case <-time.After(retryAfter):
		}
	}
}

func (o *Onlooker) forget() {
	o.loaded.Store(false)
	o.wants.take(noWants())
}

// Loaded tells whether it knows the wants.
func (o *Onlooker) Loaded() bool { return o.loaded.Load() }

// WaitFor returns when it knows of every change up to one.
func (o *Onlooker) WaitFor(ctx context.Context, change uint64) error {
	return o.reached.WaitFor(ctx, change)
}

// Interest tells who looks for a lot, by the wants that stand.
func (o *Onlooker) Interest(lot *pb.Lot) *pb.Interest {
	return interestOf(lot, o.wants.meeting(search.Read(lot), nil))
}

func (o *Onlooker) follow(ctx context.Context) error {
	seen, err := o.store.Head(ctx)
	if err != nil {
		return err
	}
	all, err := wantsAt(ctx, o.store, seen)
	if err != nil {
		return err
	}
	o.wants.take(all)
	o.loaded.Store(true)
	for {
		o.reached.Advance(seen)
		if err := o.store.Wait(ctx, seen); err != nil {
			return err
		}
		if seen, err = o.turn(ctx, seen); err != nil {
			return err
		}
	}
}

// turn takes up what has happened to lists after a change, and returns how far
// it came.
func (o *Onlooker) turn(ctx context.Context, seen uint64) (uint64, error) {
	head, err := o.store.Head(ctx)
	if err != nil {
		return seen, err
	}
	changes, err := o.store.Changes(ctx, seen, batch, store.WantedLists)
	if err != nil {
		return seen, err
	}
	for _, c := range changes {
		if err := o.wants.follow(c); err != nil {
			return seen, err
		}
		seen = c.Number
	}
	if len(changes) < batch {
		seen = max(seen, head)
	}
	return seen, nil
}
