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
//   - A lot that meets a want already is told of again where its clear-by day has
//     come near, or a part that the want must have was found: once for the same
//     news.
//   - There is one alert for a want, a lot and a revision of the lot, however
//     often the work is done again. Alerts are written in the transaction that
//     moves the cursor: a crash loses none and repeats none.
//   - The keeper of a lot hears, by notices written in the same transaction, when
//     more seekers look for it than before; see interest.proto.
//   - What a search with the want's filter would find is what makes an alert:
//     search asks search.Filter, and package standing answers as that does.
//
// Lots and wants are looked at as they were at the change that is being
// followed, so it does not matter how the journal is cut into batches, how far the
// matcher is behind or how far the index has run ahead: the alerts are the same.
package alerts

import (
	"context"
	"crypto/sha256"
	"encoding/base32"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync/atomic"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/internal/mark"
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
	reached  *mark.Mark

	wants  *wants
	ahead  *ahead
	loaded atomic.Bool // wants are those that stand
	cursor uint64      // as the store has it
	seen   uint64      // up to where nothing is left to do; at least cursor

	bookPath string // empty: no book is kept
	book     *book
}

// New returns a matcher over a store. Nothing happens until Run.
func New(s store.Store, standing Standing, log *slog.Logger) *Matcher {
	return &Matcher{store: s, standing: standing, log: log, reached: mark.New(), wants: noWants(), ahead: nothingAhead()}
}

// Run follows the journal until ctx is done. A fault is logged, and the work
// taken up again from the cursor.
func (m *Matcher) Run(ctx context.Context) {
	defer m.loaded.Store(false)
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

// Loaded tells whether the matcher runs and knows the wants.
func (m *Matcher) Loaded() bool { return m.loaded.Load() }

// WaitFor returns when every change up to one has been matched.
func (m *Matcher) WaitFor(ctx context.Context, change uint64) error {
	return m.reached.WaitFor(ctx, change)
}

func (m *Matcher) follow(ctx context.Context) error {
	m.loaded.Store(false)
	if err := m.load(ctx); err != nil {
		return err
	}
	m.loaded.Store(true)
	for {
		m.reached.Advance(m.seen)
		if err := m.store.Wait(ctx, m.seen); err != nil {
			return err
		}
		if err := m.turn(ctx); err != nil {
			return err
		}
	}
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
	var all found
	for _, c := range changes {
		more, err := m.found(ctx, c)
		if err != nil {
			return fmt.Errorf("change %d: %w", c.Number, err)
		}
		all.add(more)
	}
	if err := m.write(ctx, all, changes[len(changes)-1].Number); err != nil {
		return err
	}
	return m.keepBook(ctx, changes)
}

// found is what a change must be told of: to seekers and to keepers.
type found struct {
	alerts  []meeting
	notices []*pb.Notice
}

func (f *found) add(more found) {
	f.alerts, f.notices = append(f.alerts, more.alerts...), append(f.notices, more.notices...)
}

func (m *Matcher) found(ctx context.Context, c store.Change) (found, error) {
	if c.Record.Collection == store.Lots {
		return m.lotChanged(ctx, c)
	}
	return m.listChanged(ctx, c)
}

// errMoved says that somebody else has moved the cursor.
var errMoved = errors.New("alerts: another matcher is following this store")

// write keeps the alerts and notices of a batch and moves the cursor, all or
// nothing.
func (m *Matcher) write(ctx context.Context, all found, to uint64) error {
	err := m.store.Write(ctx, func(tx store.Tx) error {
		at, err := tx.Cursor(ctx, Cursor)
		if err != nil {
			return err
		}
		if at != m.cursor {
			return errMoved
		}
		if err := all.keep(ctx, tx); err != nil {
			return err
		}
		return tx.MoveCursor(ctx, Cursor, to)
	})
	if err != nil {
		return err
	}
	m.cursor, m.seen = to, to
	return nil
}

func (f *found) keep(ctx context.Context, tx store.Tx) error {
	for _, one := range f.alerts {
		if err := keep(ctx, tx, one.name(), func() (store.Record, error) { return one.record(tx) }); err != nil {
			return err
		}
	}
	for _, n := range f.notices {
		if err := keep(ctx, tx, n.GetName(), func() (store.Record, error) { return noticeRecord(tx, n) }); err != nil {
			return err
		}
	}
	return nil
}

// keep writes the record of a name, unless it is there already.
func keep(ctx context.Context, tx store.Tx, name string, make func() (store.Record, error)) error {
	there, err := tx.GetMany(ctx, []string{name})
	if err != nil || len(there) > 0 {
		return err
	}
	r, err := make()
	if err != nil {
		return err
	}
	_, err = tx.Create(ctx, r)
	return err
}

// nameOf is the same for the same texts, and tells nothing of them.
func nameOf(texts ...string) string {
	sum := sha256.Sum256([]byte(strings.Join(texts, "\x00")))
	return strings.ToLower(base32.StdEncoding.EncodeToString(sum[:15]))
}
