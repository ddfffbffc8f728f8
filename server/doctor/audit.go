package doctor

import (
	"context"
	"fmt"
	"time"

	"heirpress/server/store"
)

// audited is what an audit has counted.
type audited struct {
	head    uint64
	records int
	last    time.Time // of the last change
}

// sound is a store that can check itself for damage.
type sound interface {
	// Sound returns a *store.UnusableError that says what is damaged.
	Sound(ctx context.Context) error
}

// audit holds a store against its own journal: numbers without a gap, times that
// do not run backwards, every record as its last entry left it, and as many as
// were made and not deleted. It can be written to meanwhile.
func audit(ctx context.Context, s store.Movable) (a audited, err error) {
	if checked, ok := s.(sound); ok {
		if err := checked.Sound(ctx); err != nil {
			return a, err
		}
	}
	made := map[store.Collection]int{}
	if err := a.journal(ctx, s, made); err != nil {
		return a, err
	}
	for c, want := range made {
		got, err := records(ctx, s, c, a.head)
		if err != nil {
			return a, err
		}
		since, err := deletedSince(ctx, s, c, a.head)
		if err != nil {
			return a, err
		}
		if got+since != want {
			return a, fmt.Errorf("of %s there are %d, and the journal tells of %d: restore a backup", c, got+since, want)
		}
		a.records += got
	}
	return a, nil
}

// journal reads the journal, and counts what was made and not deleted.
func (a *audited) journal(ctx context.Context, s store.Reader, made map[store.Collection]int) error {
	head, err := s.Head(ctx)
	if err != nil {
		return err
	}
	for a.head < head {
		changes, err := s.Changes(ctx, a.head, int(min(head-a.head, store.DefaultLimit)))
		if err != nil {
			return err
		}
		if len(changes) == 0 {
			return fmt.Errorf("the journal ends at change %d, and says that it goes to %d: restore a backup", a.head, head)
		}
		for _, c := range changes {
			if c.Number != a.head+1 {
				return fmt.Errorf("the journal has no change %d: restore a backup", a.head+1)
			}
			if c.Time.Before(a.last) {
				return fmt.Errorf("change %d is of %v, before the one that it follows", c.Number, c.Time)
			}
			a.head, a.last = c.Number, c.Time
			made[c.Record.Collection] += map[store.Op]int{store.OpCreate: 1, store.OpDelete: -1}[c.Op]
		}
	}
	return nil
}

// records counts those of a collection that were made up to a change, and holds
// each against its journal.
func records(ctx context.Context, s store.Reader, c store.Collection, upTo uint64) (n int, err error) {
	for r, err := range store.Each(ctx, s, store.Listing{Collection: c, AnyParent: true}) {
		if err != nil || r.Created > upTo {
			return n, err
		}
		n++
		past, err := s.History(ctx, r.Name, r.Revision+1, 1)
		if err != nil {
			return n, err
		}
		if len(past) == 0 || past[0].Op == store.OpDelete || !past[0].Record.Same(r) {
			return n, fmt.Errorf("%s is not as its journal tells: restore a backup", r.Name)
		}
	}
	return n, nil
}

// deletedSince counts the records that were made up to a change, and deleted
// after it: while the audit went on.
func deletedSince(ctx context.Context, s store.Reader, c store.Collection, change uint64) (n int, err error) {
	for at := change; ; {
		changes, err := s.Changes(ctx, at, 0, c)
		if err != nil || len(changes) == 0 {
			return n, err
		}
		for _, one := range changes {
			at = one.Number
			if one.Op == store.OpDelete && one.Record.Created <= change {
				n++
			}
		}
	}
}
