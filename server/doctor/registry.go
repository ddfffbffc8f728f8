package doctor

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"heirpress/search"
	"heirpress/server"
	"heirpress/server/alerts"
	"heirpress/server/deliver"
	"heirpress/server/store"
)

// aheadMost is how far ahead of the clock the journal may be: less is what two
// machines' clocks differ by.
const aheadMost = time.Minute

// journal holds the store against itself and the clock, and returns the last
// change number.
func (e *examination) journal(ctx context.Context, s store.Movable) (head uint64, ok bool) {
	a, err := audit(ctx, s)
	if err != nil {
		e.wrong("store", "%v", err)
		return 0, false
	}
	e.fine("store", "%d changes, %d records, and they agree", a.head, a.records)
	e.clock(ctx, s, a.last)
	return a.head, true
}

// clocked is a store that has a clock of its own.
type clocked interface {
	Now(context.Context) (time.Time, error)
}

// clock holds this machine's clock against the journal's last entry and against
// the database's.
func (e *examination) clock(ctx context.Context, s store.Store, last time.Time) {
	now := e.Now()
	if ahead := last.Sub(now); ahead > aheadMost {
		e.wrong("clock", "the last change says %s, and this machine's clock says %s: one of them is wrong, and until that time all changes get the same time",
			last.Format(time.RFC3339), now.UTC().Format(time.RFC3339))
		return
	}
	if with, ok := s.(clocked); ok {
		there, err := with.Now(ctx)
		if err != nil {
			e.wrong("clock", "the database does not tell the time: %v", err)
			return
		}
		if off := now.Sub(there).Abs(); off > aheadMost {
			e.watch("clock", "this machine's clock and the database's are %v apart: have both set by the network (NTP)", off.Round(time.Second))
			return
		}
	}
	e.fine("clock", "it is %s, after the last change", now.UTC().Format(time.RFC3339))
}

// indexFolder is where the index is, of a registry with accounts or of one without;
// empty if there is none.
func (e *examination) indexFolder(s store.Movable) string {
	for _, accounts := range []server.Accounts{server.NoAccounts, server.ByInvitation} {
		dir := server.IndexFolder(e.Dir, s, accounts)
		if _, err := os.Stat(dir); err == nil {
			return dir
		}
	}
	return ""
}

// index holds the index against the journal, if no daemon has it open.
func (e *examination) index(s store.Movable, head uint64) {
	dir := e.indexFolder(s)
	if dir == "" {
		e.watch("index", "there is none yet; heirpressd builds it when it starts")
		return
	}
	unlock, err := server.Lock(e.Dir)
	if busy := new(server.BusyError); errors.As(err, &busy) {
		e.fine("index", "a heirpressd is running on it; its /readyz tells whether it has caught up")
		return
	}
	if err != nil {
		e.wrong("index", "%v", err)
		return
	}
	defer unlock() //nolint:errcheck // it ends with the process in any case
	change, err := search.Look(dir)
	switch {
	case errors.Is(err, search.ErrDamaged):
		e.watch("index", "it is damaged (%v); heirpressd sets it aside and builds it anew when it starts", err)
	case err != nil:
		e.wrong("index", "%v", err)
	case change > head:
		e.watch("index", "it has reached change %d, and the journal ends at %d: it is of a later day, and is built anew when heirpressd starts", change, head)
	case change < head:
		e.fine("index", "it has reached change %d of %d; heirpressd does the rest when it starts", change, head)
	default:
		e.fine("index", "it has all %d changes", head)
	}
}

// behindMost is how far the matcher may be behind before somebody should look.
const behindMost = 10_000

func (e *examination) matcher(ctx context.Context, s store.Store) {
	behind, err := alerts.Behind(ctx, s)
	switch {
	case err != nil:
		e.wrong("matcher", "%v", err)
	case behind > behindMost:
		e.watch("matcher", "it is %d changes behind: is a heirpressd running?", behind)
	default:
		e.fine("matcher", "it is %d changes behind", behind)
	}
}

func (e *examination) deliveries(ctx context.Context, s store.Store) {
	n, err := deliver.Count(ctx, s)
	waiting := fmt.Sprintf("%s alerts wait to be packed, %s dispatches to be sent", upTo(n.Outbox), upTo(n.Dispatches))
	switch {
	case err != nil:
		e.wrong("deliveries", "%v", err)
	case n.DeadLetters > 0:
		e.watch("deliveries", "%s; %d were given up: see heirpressd dead-letters", waiting, n.DeadLetters)
	case n.Outbox >= deliver.MostCounted || n.Dispatches >= deliver.MostCounted:
		e.watch("deliveries", "%s: is a heirpressd with a mail server running?", waiting)
	default:
		e.fine("deliveries", "%s", waiting)
	}
}

func upTo(n int) string {
	if n >= deliver.MostCounted {
		return fmt.Sprintf("%d or more", n)
	}
	return fmt.Sprint(n)
}
