// Package alerts is the go-between that never forgets: it follows the journal
// and writes an alert wherever a want and a lot newly meet.
//
// What it promises:
//
//   - A lot that comes to meet a standing want makes an alert: a new lot, or a
//     change that newly satisfies the want. A change that does not matter to
//     the want is silent.
//   - A want that is new or changed makes an alert for each lot that stood at
//     that moment and newly meets it.
//   - There is one alert for a want, a lot and a revision of the lot, however
//     often the work is done again. Alerts are written in the transaction that
//     moves the cursor: a crash loses none and repeats none.
//   - What a search with the want's filter would find is what makes an alert:
//     both ask search.Filter.
//
// Lots and wants are looked at as they were at the change that is being
// followed, so it does not matter how the journal is cut into batches or how
// far the index has run ahead; but a lot that has ceased to meet a new want
// before the want is come to is passed over, since it is no news any more.
package alerts

import (
	"context"
	"crypto/sha256"
	"encoding/base32"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// Cursor is the name under which the matcher keeps its place in the journal.
const Cursor = "alerts"

const (
	batch      = 500             // journal entries followed in one transaction
	retryAfter = time.Second     // after a fault, before starting afresh
	mostHits   = 100             // standing lots asked for at a time
	waitAtMost = 5 * time.Minute // for the index, before starting afresh
)

// Standing finds the lots that pass a filter.
type Standing interface {
	// Find calls each with the name of every lot that passes f, as the index
	// knows them at some moment not before change. It stops at each's error.
	Find(ctx context.Context, f *pb.LotFilter, change uint64, each func(name string) error) error
}

// Matcher follows the journal. One at a time runs over a store.
type Matcher struct {
	store    store.Store
	standing Standing
	log      *slog.Logger
	reached  *mark

	wants  *wants
	cursor uint64 // as the store has it
	seen   uint64 // up to where nothing is left to do; at least cursor
}

// New returns a matcher over a store. Nothing happens until Run.
func New(s store.Store, standing Standing, log *slog.Logger) *Matcher {
	return &Matcher{store: s, standing: standing, log: log, reached: newMark()}
}

// Run follows the journal until ctx is done. A fault is logged, and the work
// taken up again from the cursor.
func (m *Matcher) Run(ctx context.Context) {
	for ctx.Err() == nil {
		err := m.follow(ctx)
		if ctx.Err() != nil {
			return
		}
		m.log.Error("alerts: starting again from the cursor", "error", err, "change", m.cursor)
		select {
		case <-ctx.Done():
		case <-time.After(retryAfter):
		}
	}
}

// WaitFor returns when every change up to one has been matched.
func (m *Matcher) WaitFor(ctx context.Context, change uint64) error {
	return m.reached.waitFor(ctx, change)
}

func (m *Matcher) follow(ctx context.Context) error {
	if err := m.load(ctx); err != nil {
		return err
	}
	for {
		m.reached.set(m.seen)
		if err := m.store.Wait(ctx, m.seen); err != nil {
			return err
		}
		if err := m.turn(ctx); err != nil {
			return err
		}
	}
}

// load takes up the wants as they stood at the cursor, whatever has happened
// to them since: the journal will tell.
func (m *Matcher) load(ctx context.Context) (err error) {
	if m.cursor, err = m.store.Cursor(ctx, Cursor); err != nil {
		return err
	}
	m.seen = m.cursor
	m.wants, err = wantsAt(ctx, m.store, m.cursor)
	return err
}

// turn follows one batch of the journal.
func (m *Matcher) turn(ctx context.Context) error {
	head, err := m.store.Head(ctx)
	if err != nil {
		return err
	}
	changes, err := m.store.Changes(ctx, m.seen, batch, store.Lots, store.WantedLists)
	if err != nil {
		return err
	}
	if len(changes) == 0 {
		m.seen = max(m.seen, head)
		return nil
	}
	var met []meeting
	for _, c := range changes {
		more, err := m.meetings(ctx, c)
		if err != nil {
			return fmt.Errorf("change %d: %w", c.Number, err)
		}
		met = append(met, more...)
	}
	return m.write(ctx, met, changes[len(changes)-1].Number)
}

func (m *Matcher) meetings(ctx context.Context, c store.Change) ([]meeting, error) {
	if c.Record.Collection == store.Lots {
		return m.lotChanged(ctx, c)
	}
	return m.listChanged(ctx, c)
}

// errMoved says that somebody else has moved the cursor.
var errMoved = errors.New("alerts: another matcher is following this store")

// write keeps the alerts of a batch and moves the cursor, all or nothing.
func (m *Matcher) write(ctx context.Context, met []meeting, to uint64) error {
	err := m.store.Write(ctx, func(tx store.Tx) error {
		at, err := tx.Cursor(ctx, Cursor)
		if err != nil {
			return err
		}
		if at != m.cursor {
			return errMoved
		}
		for _, one := range met {
			if err := keep(ctx, tx, one); err != nil {
				return err
			}
		}
		return tx.MoveCursor(ctx, Cursor, to)
	})
	if err != nil {
		return err
	}
	m.cursor, m.seen = to, to
	return nil
}

// keep writes the alert of a meeting, unless it is there already.
func keep(ctx context.Context, tx store.Tx, one meeting) error {
	r, err := one.record(tx)
	if err != nil {
		return err
	}
	there, err := tx.GetMany(ctx, []string{r.Name})
	if err != nil || len(there) > 0 {
		return err
	}
	_, err = tx.Create(ctx, r)
	return err
}

// alertName is the same for the same want, lot and revision, and tells nothing
// of them.
func alertName(list, want, lot string, revision uint64) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\x00%s\x00%s\x00%d", list, want, lot, revision))
	return "alerts/" + strings.ToLower(base32.StdEncoding.EncodeToString(sum[:15]))
}
