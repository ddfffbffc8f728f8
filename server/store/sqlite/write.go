package sqlite

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/ncruces/go-sqlite3"

	"heirpress/server/store"
)

// Write is store.Store's.
func (s *Store) Write(ctx context.Context, do func(store.Tx) error) error {
	return s.transact(ctx, func(t *tx) error { return do(t) })
}

// Forget is store.Store's.
func (s *Store) Forget(ctx context.Context, before time.Time) (n int, err error) {
	err = s.transact(ctx, func(t *tx) error {
		return t.query(ctx, `DELETE FROM answer WHERE time < ? RETURNING 1`, func(*sqlite3.Stmt) { n++ }, before.UnixMicro())
	})
	if err != nil {
		return 0, err
	}
	return n, nil
}

// transact runs do in a transaction on the one writing connection.
func (s *Store) transact(ctx context.Context, do func(*tx) error) error {
	c, err := s.writer.take(ctx)
	if err != nil {
		return err
	}
	defer s.writer.give(c)
	t := &tx{session: session{c: c}}
	defer c.rollback() // if do returned an error, or panicked
	defer func() { t.ended = store.ErrOver }()
	if err := t.begin(ctx, s.clock); err != nil {
		return err
	}
	if err := do(t); err != nil {
		return err
	}
	if err := t.commit(ctx); err != nil {
		return err
	}
	s.moved.Advance(t.head)
	return nil
}

// tx is a transaction under way.
type tx struct {
	session
	head uint64 // the last change number so far
	now  time.Time
}

func (t *tx) begin(ctx context.Context, clock func() time.Time) error {
	// Immediate: it waits for other writers now, so that what it reads is still
	// true when it writes.
	if err := t.query(ctx, `BEGIN IMMEDIATE`, nil); err != nil {
		return err
	}
	// Another process may have brought the schema beyond what this one knows.
	if err := t.checkVersion(ctx); err != nil {
		return err
	}
	head, last, err := t.last(ctx)
	if err != nil {
		return err
	}
	t.head, t.now = head, clock().UTC().Truncate(time.Microsecond)
	if t.now.Before(last) {
		t.now = last
	}
	return nil
}

// commit makes the transaction last, or returns why it has not.
func (t *tx) commit(ctx context.Context) error {
	if err := t.usable(ctx); err != nil {
		return err
	}
	// Past this point ctx cannot leave it in doubt what happened.
	return t.query(context.Background(), `COMMIT`, nil)
}

// Now is store.Tx's.
func (t *tx) Now() time.Time { return t.now }

// Create is store.Tx's.
func (t *tx) Create(ctx context.Context, r store.Record) (store.Record, error) {
	if err := t.usable(ctx); err != nil {
		return store.Record{}, err
	}
	if err := r.Check(); err != nil {
		return store.Record{}, err
	}
	r.Created, r.Revision = t.head+1, t.head+1
	err := t.query(ctx, `INSERT INTO record (`+recordColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`, nil,
		r.Name, string(r.Collection), r.Parent, r.Key, r.Open, r.Body, number(r.Created), number(r.Revision))
	if taken(err) {
		err = t.nameOrKeyTaken(ctx, r)
	}
	if err != nil {
		return store.Record{}, err
	}
	return r, t.log(ctx, store.OpCreate, r)
}

// Update is store.Tx's.
func (t *tx) Update(ctx context.Context, r store.Record) (store.Record, error) {
	if err := t.usable(ctx); err != nil {
		return store.Record{}, err
	}
	if err := r.CheckUpdate(); err != nil {
		return store.Record{}, err
	}
	old, err := t.Get(ctx, r.Name)
	if err != nil {
		return store.Record{}, err
	}
	r.Collection, r.Parent, r.Created, r.Revision = old.Collection, old.Parent, old.Created, t.head+1
	err = t.query(ctx, `UPDATE record SET key = ?, open = ?, body = ?, revision = ? WHERE created = ?`, nil,
		r.Key, r.Open, r.Body, number(r.Revision), number(r.Created))
	if taken(err) {
		err = t.keyTaken(ctx, r)
	}
	if err != nil {
		return store.Record{}, err
	}
	return r, t.log(ctx, store.OpUpdate, r)
}

// Delete is store.Tx's.
func (t *tx) Delete(ctx context.Context, name string) (uint64, error) {
	r, err := t.Get(ctx, name)
	if err != nil {
		return 0, err
	}
	if err := t.query(ctx, `DELETE FROM record WHERE created = ?`, nil, number(r.Created)); err != nil {
		return 0, err
	}
	r.Revision = t.head + 1
	return r.Revision, t.log(ctx, store.OpDelete, r)
}

// Erase is store.Tx's.
func (t *tx) Erase(ctx context.Context, name string) (n int, err error) {
	err = t.query(ctx, eraseSQL, func(*sqlite3.Stmt) { n++ }, name)
	return n, err
}

const eraseSQL = `UPDATE journal SET body = x'' WHERE name = ?1 AND body <> x''
	AND change <> coalesce((SELECT revision FROM record WHERE name = ?1), 0) RETURNING 1`

// log writes the journal entry of the next change, which left a record as r.
func (t *tx) log(ctx context.Context, op store.Op, r store.Record) error {
	err := t.query(ctx, `INSERT INTO journal (`+changeColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, nil,
		r.Name, string(r.Collection), r.Parent, r.Key, r.Open, r.Body, number(r.Created), number(r.Revision),
		t.now.UnixMicro(), int64(op))
	if err == nil {
		t.head = r.Revision
	}
	return err
}

// nameOrKeyTaken tells which record has the name, or else the key, that a new
// record was refused for.
func (t *tx) nameOrKeyTaken(ctx context.Context, r store.Record) error {
	_, err := t.Get(ctx, r.Name)
	if err == nil {
		return &store.ExistsError{Name: r.Name}
	}
	if errors.Is(err, store.ErrNotFound) {
		return t.keyTaken(ctx, r)
	}
	return err
}

// keyTaken tells which record has the key that r was refused for.
func (t *tx) keyTaken(ctx context.Context, r store.Record) error {
	other, err := t.Find(ctx, r.Collection, r.Parent, r.Key)
	if err != nil {
		return err
	}
	return &store.ExistsError{Name: other.Name, Key: r.Key}
}

// MoveCursor is store.Tx's.
func (t *tx) MoveCursor(ctx context.Context, follower string, to uint64) error {
	if err := t.usable(ctx); err != nil {
		return err
	}
	if err := store.CheckCursor(follower, to, t.head); err != nil {
		return err
	}
	return t.query(ctx, `INSERT INTO cursor (follower, change) VALUES (?, ?)
		ON CONFLICT (follower) DO UPDATE SET change = excluded.change`, nil, follower, number(to))
}

// Remember is store.Tx's.
func (t *tx) Remember(ctx context.Context, a store.Answer) error {
	if err := t.usable(ctx); err != nil {
		return err
	}
	if err := a.Check(); err != nil {
		return err
	}
	err := t.query(ctx, `INSERT INTO answer (id, fingerprint, body, change, time) VALUES (?, ?, ?, ?, ?)`, nil,
		a.ID, a.Fingerprint, a.Body, number(a.Change), t.now.UnixMicro())
	if taken(err) {
		return &store.InvalidError{Field: "answer.id", Problem: fmt.Sprintf("is %q, which has been answered: recall that answer", a.ID)}
	}
	return err
}
