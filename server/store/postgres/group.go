package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"heirpress/server/store"
)

// A group is one transaction of the database that carries those of several
// callers of Write, its members.
//
// A store has one line, and whoever is at its front has the group to itself: so
// members follow one another, and each sees what those before it did. A member
// that is done steps back to the end of the line if others are waiting, so that
// they come in, and commits for all when it is at the front again. Whether its
// own function failed or not, nobody is told anything before the commit, since
// what it has read may be what another member wrote.
//
// If the connection is lost before the commit, nothing has happened, and every
// member runs again in another group.
type group struct {
	session
	lent    *pgxpool.Conn
	head    uint64    // the last change number so far
	last    time.Time // of that change
	from    uint64    // the head it began with
	written bool
	members int

	done chan struct{} // closed when it is over
	err  error         // how it ended, once it is over
}

// mostMembers bounds how long the first waits for the last, and how many
// savepoints PostgreSQL has to keep for one transaction.
const mostMembers = 40

// longestCommit is how long the answer to a commit is awaited.
const longestCommit = 20 * time.Second

// transact runs do in a transaction, again if the database fails before it is
// committed.
func (s *Store) transact(ctx context.Context, do func(*tx) error) error {
	return s.try(ctx, func() error { return s.transactOnce(ctx, do) })
}

func (s *Store) transactOnce(ctx context.Context, do func(*tx) error) error {
	if err := s.comeToFront(ctx); err != nil {
		return err
	}
	g, err := s.join(ctx)
	if err != nil {
		<-s.line
		return err
	}
	t := g.member(s.clock)
	returned := false
	defer func() {
		if !returned { // do has panicked, or ended its goroutine
			t.leave()
			s.abandon(g, t)
		}
	}()
	result := do(t)
	returned = true
	result = t.end(ctx, result)
	if err := s.conclude(g, t); err != nil {
		return err
	}
	return result
}

// comeToFront waits until no other transaction of this process is under way.
func (s *Store) comeToFront(ctx context.Context) error {
	if err := s.usable(ctx); err != nil {
		return err
	}
	s.inLine.Add(1)
	defer s.inLine.Add(-1)
	select {
	case s.line <- struct{}{}:
	case <-s.closed:
		return store.ErrClosed
	case <-ctx.Done():
		return ctx.Err()
	}
	return nil
}

// join enters the group that is open, or opens one.
func (s *Store) join(ctx context.Context) (*group, error) {
	if s.group != nil {
		s.group.members++
		return s.group, nil
	}
	lent, err := s.pool.Acquire(ctx)
	if err != nil {
		return nil, s.notLent(ctx, err)
	}
	g := &group{session: session{place: s.place, c: lent.Conn()}, lent: lent, members: 1, done: make(chan struct{})}
	if err := g.begin(ctx); err != nil {
		g.giveBack()
		return nil, err
	}
	s.group = g
	return g, nil
}

// begin takes the lock that all writers of the registry take, wherever they are,
// and reads how far they have come.
func (g *group) begin(ctx context.Context) error {
	// Each statement is to see what was committed before it, so that after the
	// wait for the lock nothing old is read.
	g.sendAhead(`BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE`)
	var version int
	var last int64
	n, err := g.query(ctx, `SELECT version, head, time FROM registry FOR UPDATE`,
		func(rows pgx.Rows) error { return rows.Scan(&version, &g.head, &last) })
	if err != nil {
		return err
	}
	if n == 0 {
		return &store.UnusableError{Path: g.place.String(), Reason: "it has lost its table registry"}
	}
	g.from, g.last = g.head, time.UnixMicro(last).UTC()
	return g.place.known(version) // another daemon may have brought the schema further
}

// conclude ends what a member has to do with a group, and returns how the group
// ended.
func (s *Store) conclude(g *group, t *tx) error {
	if t.undoneAll || g.ended != nil || s.inLine.Load() == 0 || g.members >= mostMembers {
		s.finish(g)
		<-s.line
		return g.err
	}
	<-s.line
	select {
	case s.line <- struct{}{}:
		s.finish(g)
		<-s.line
	case <-g.done:
	}
	return g.err
}

// abandon leaves a group without waiting for its end. If there are others in it,
// the first of them is in the line to commit.
func (s *Store) abandon(g *group, t *tx) {
	if t.first || g.ended != nil {
		s.finish(g)
	}
	<-s.line
}

// finish commits a group, if it is not over yet. The caller is at the front of
// the line.
func (s *Store) finish(g *group) {
	if s.group != g {
		return
	}
	s.group = nil
	g.err = g.commit()
	g.giveBack()
	if g.err == nil {
		s.moved.Advance(g.head)
	}
	close(g.done)
}

// commit makes the group's transaction last, or returns why it has not.
func (g *group) commit() error {
	if err := g.broken(); err != nil || !g.written {
		return err
	}
	if g.head != g.from {
		g.sendAhead(recordHeadSQL, number(g.head), g.last.UnixMicro())
	}
	// Nobody's context: past this point it must not be in doubt what happened.
	ctx, cancel := context.WithTimeout(context.Background(), longestCommit)
	defer cancel()
	_, err := g.send(ctx, `COMMIT`, nil, nil)
	return g.outcome(err)
}

// recordHeadSQL writes how far the journal has come, and has those who wait told.
const recordHeadSQL = `WITH moved AS (UPDATE registry SET head = $1, time = $2 RETURNING id, head)
	SELECT pg_notify('heirpress_' || id, head::text) FROM moved`

// broken is why a group cannot be committed. That one member has left in the
// middle of a statement, which closes the connection, is for the others only a
// reason to run again.
func (g *group) broken() error {
	if errors.Is(g.ended, context.Canceled) || errors.Is(g.ended, context.DeadlineExceeded) {
		return &store.UnavailableError{Place: g.place.String(), Reason: "another caller was cancelled"}
	}
	return g.ended
}

// outcome tells what became of a commit. Only an error by which the server does
// not end the connection says for certain that nothing was done.
func (g *group) outcome(err error) error {
	var refused *pgconn.PgError
	certain := errors.As(err, &refused) && refused.SeverityUnlocalized == "ERROR"
	err = g.place.failure(context.Background(), err)
	var away *store.UnavailableError
	if errors.As(err, &away) {
		away.Unknown = !certain
	}
	return err
}

// giveBack returns the connection. A transaction that is still open is undone.
func (g *group) giveBack() {
	if !g.c.IsClosed() && g.c.PgConn().TxStatus() != 'I' {
		ctx, cancel := context.WithTimeout(context.Background(), longestConnect)
		_, _ = g.c.Exec(ctx, `ROLLBACK`) // or else the pool closes the connection, which undoes it too
		cancel()
	}
	g.lent.Release()
}

// member makes the transaction of one member.
func (g *group) member(clock func() time.Time) *tx {
	t := &tx{g: g, now: clock().UTC().Truncate(time.Microsecond), first: g.members == 1, was: g.head, wasLast: g.last, wasWritten: g.written}
	if t.now.Before(g.last) {
		t.now = g.last
	}
	return t
}
