// Package postgres keeps a registry in a PostgreSQL database, which any number
// of daemons may share.
//
// It promises what package store does, and besides:
//
//   - A schema is used only if it is a registry that this program knows: one of
//     another program or of a newer version is refused and left as it was.
//   - While the database cannot be reached, calls try again for some seconds,
//     and then return *store.UnavailableError. When it is back they go on.
//   - Writes that wait for each other in one process are committed together:
//     they share the sync of the disk, though each is all or nothing by itself.
//   - Of all processes that share a registry, Lead has one at a time do a task.
//
// Every writing transaction first locks the one row that holds the journal's
// head. The order in which they get that lock is the order of change numbers, of
// commits, and of what each sees of the others; see group.go.
//
// The daemon must be connected to PostgreSQL itself: a pooler that gives every
// transaction another connection would break Lead and Wait.
package postgres

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"heirpress/server/internal/mark"
	"heirpress/server/store"
)

// Store is a registry in a PostgreSQL database.
type Store struct {
	place    place
	id       string
	clock    func() time.Time
	patience time.Duration

	pool   *pgxpool.Pool
	line   chan struct{} // one element while a transaction is under way
	inLine atomic.Int32  // callers of Write who wait for that to end
	group  *group        // who has the line's element may look

	moved  *mark.Mark // how far the journal's head is known to have moved
	closed chan struct{}
	once   sync.Once
	work   sync.WaitGroup // the listener
}

var _ store.Store = (*Store)(nil)

// Option changes how a store is opened.
type Option func(*Store)

// Clock has the store tell the time by now instead of the wall clock.
func Clock(now func() time.Time) Option {
	return func(s *Store) { s.clock = now }
}

// Patience is how long a call goes on trying while the database cannot be
// reached; usually 5 seconds.
func Patience(d time.Duration) Option {
	return func(s *Store) { s.patience = d }
}

// connections is how many calls of one process are answered at a time; more
// wait. The listener has another connection, and so has each Lead.
const connections = 10

// Open opens the registry at an address, "postgres://user@host:5432/database",
// making its tables if there are none, and brings an older schema up to date.
// The tables are in the schema heirpress, or that of a search_path in the
// address. A password may be in the address, but is better in the file that
// PGPASSFILE names, or in PGPASSWORD.
//
// It returns *store.InvalidError for an address that cannot be read,
// *store.NewerError for a newer schema, *store.UnusableError for one that is not
// a registry, or for a server that does not do, and *store.UnavailableError if
// there is no answer. No error tells the password.
func Open(ctx context.Context, address string, options ...Option) (*Store, error) {
	s := &Store{
		moved: mark.New(),
		clock: time.Now, patience: 5 * time.Second,
		line: make(chan struct{}, 1), closed: make(chan struct{}),
	}
	for _, option := range options {
		option(s)
	}
	var err error
	if s.place, err = locate(address); err != nil {
		return nil, err
	}
	var first *pgx.Conn
	err = s.try(ctx, func() error {
		first, err = s.begin(ctx)
		return err
	})
	if err != nil {
		return nil, err
	}
	if s.pool, err = s.newPool(); err != nil {
		hangUp(first)
		return nil, err
	}
	s.work.Go(func() { s.listen(first) })
	return s, nil
}

// begin looks at the server and the schema, and returns the connection.
func (s *Store) begin(ctx context.Context) (*pgx.Conn, error) {
	c, err := s.place.connect(ctx, nil)
	if err != nil {
		return nil, s.place.failure(ctx, err)
	}
	err = s.place.checkServer(ctx, c)
	if err == nil {
		s.id, err = s.place.makeReady(ctx, c)
	}
	if err != nil {
		hangUp(c)
		return nil, s.place.failure(ctx, err)
	}
	return c, nil
}

// newPool makes the pool, which connects when first needed.
func (s *Store) newPool() (*pgxpool.Pool, error) {
	config, err := pgxpool.ParseConfig("")
	if err != nil {
		return nil, s.place.failure(context.Background(), err)
	}
	config.ConnConfig = s.place.config.Copy()
	config.MaxConns = connections
	config.PingTimeout = longestConnect
	return pgxpool.NewWithConfig(context.Background(), config)
}

// ID tells this registry from any other.
func (s *Store) ID() string { return s.id }

// String is the address without password or settings.
func (s *Store) String() string { return s.place.String() }

// Close is store.Store's.
func (s *Store) Close() error {
	s.once.Do(func() {
		close(s.closed)
		s.line <- struct{}{} // for good: there are no more transactions
		if s.group != nil {
			s.finish(s.group) // those it is of wait for it, in a line that has ended
		}
		s.work.Wait()
		s.pool.Close()
	})
	return nil
}

// usable returns why a call cannot begin.
func (s *Store) usable(ctx context.Context) error {
	select {
	case <-s.closed:
		return store.ErrClosed
	default:
		return ctx.Err()
	}
}

// try runs do again while the database cannot be reached, as long as patience
// lasts. A commit of which the outcome is unknown is not tried again.
func (s *Store) try(ctx context.Context, do func() error) error {
	var until time.Time // counted from the first failure: a wait for others is none
	for pause := 5 * time.Millisecond; ; pause = min(2*pause, 250*time.Millisecond) {
		err := do()
		var away *store.UnavailableError
		if !errors.As(err, &away) || away.Unknown {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if until.IsZero() {
			until = time.Now().Add(s.patience)
		}
		if !time.Now().Before(until) {
			return err
		}
		select {
		case <-time.After(pause):
		case <-ctx.Done():
			return ctx.Err()
		case <-s.closed:
			return store.ErrClosed
		}
	}
}

// read asks one question of a reading connection.
func read[T any](ctx context.Context, s *Store, ask func(*session) (T, error)) (answer T, err error) {
	err = s.try(ctx, func() error {
		if err := s.usable(ctx); err != nil {
			return err
		}
		c, err := s.pool.Acquire(ctx)
		if err != nil {
			return s.notLent(ctx, err)
		}
		defer c.Release()
		answer, err = ask(&session{place: s.place, c: c.Conn()})
		return err
	})
	if err != nil {
		var none T
		return none, err
	}
	return answer, nil
}

// notLent is why a pool has not lent a connection.
func (s *Store) notLent(ctx context.Context, err error) error {
	if err := s.usable(ctx); err != nil {
		return err
	}
	return s.place.failure(ctx, err)
}

// Get is store.Reader's.
func (s *Store) Get(ctx context.Context, name string) (store.Record, error) {
	return read(ctx, s, func(q *session) (store.Record, error) { return q.Get(ctx, name) })
}

// GetMany is store.Reader's.
func (s *Store) GetMany(ctx context.Context, names []string) ([]store.Record, error) {
	return read(ctx, s, func(q *session) ([]store.Record, error) { return q.GetMany(ctx, names) })
}

// Find is store.Reader's.
func (s *Store) Find(ctx context.Context, c store.Collection, parent, key string) (store.Record, error) {
	return read(ctx, s, func(q *session) (store.Record, error) { return q.Find(ctx, c, parent, key) })
}

// List is store.Reader's.
func (s *Store) List(ctx context.Context, l store.Listing) ([]store.Record, error) {
	return read(ctx, s, func(q *session) ([]store.Record, error) { return q.List(ctx, l) })
}

// Count is store.Reader's.
func (s *Store) Count(ctx context.Context, c store.Collection, parent string) (int, error) {
	return read(ctx, s, func(q *session) (int, error) { return q.Count(ctx, c, parent) })
}

// Changes is store.Reader's.
func (s *Store) Changes(ctx context.Context, after uint64, limit int, of ...store.Collection) ([]store.Change, error) {
	return read(ctx, s, func(q *session) ([]store.Change, error) { return q.Changes(ctx, after, limit, of...) })
}

// History is store.Reader's.
func (s *Store) History(ctx context.Context, name string, before uint64, limit int) ([]store.Change, error) {
	return read(ctx, s, func(q *session) ([]store.Change, error) { return q.History(ctx, name, before, limit) })
}

// Head is store.Reader's.
func (s *Store) Head(ctx context.Context) (uint64, error) {
	return read(ctx, s, func(q *session) (uint64, error) { return q.Head(ctx) })
}

// Cursor is store.Reader's.
func (s *Store) Cursor(ctx context.Context, follower string) (uint64, error) {
	return read(ctx, s, func(q *session) (uint64, error) { return q.Cursor(ctx, follower) })
}

// Recall is store.Reader's.
func (s *Store) Recall(ctx context.Context, id string) (store.Answer, error) {
	return read(ctx, s, func(q *session) (store.Answer, error) { return q.Recall(ctx, id) })
}
