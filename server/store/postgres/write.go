package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"heirpress/server/store"
)

// Write is store.Store's.
func (s *Store) Write(ctx context.Context, do func(store.Tx) error) error {
	return s.transact(ctx, func(t *tx) error { return do(t) })
}

// Forget is store.Store's.
func (s *Store) Forget(ctx context.Context, before time.Time) (n int, err error) {
	err = s.transact(ctx, func(t *tx) (err error) {
		n, err = t.change(ctx, `DELETE FROM answer WHERE time < $1`, before.UnixMicro())
		return err
	})
	if err != nil {
		return 0, err
	}
	return n, nil
}

// tx is the transaction of one member of a group.
type tx struct {
	g     *group
	now   time.Time
	ended error // why it can go no further, though the group may

	first   bool // no other member was before it
	changes bool // it has changed something
	// What the group had come to before it.
	was        uint64
	wasLast    time.Time
	wasWritten bool
	undoneAll  bool // nothing of the group is left
}

// usable returns why the transaction can go no further; a done ctx ends it.
func (t *tx) usable(ctx context.Context) error {
	if t.ended == nil {
		t.ended = ctx.Err()
	}
	return t.ended
}

// within makes sure that the transaction can go on, and gives the connection.
// An error of the connection ends the whole group.
func (t *tx) within(ctx context.Context) (*session, error) {
	if err := t.usable(ctx); err != nil {
		return nil, err
	}
	return &t.g.session, nil
}

// change runs a statement that changes something, and returns how many rows.
func (t *tx) change(ctx context.Context, sql string, args ...any) (int, error) {
	q, err := t.within(ctx)
	if err != nil {
		return 0, err
	}
	if !t.changes && !t.first {
		q.sendAhead(`SAVEPOINT member`)
	}
	t.changes, t.g.written = true, true
	return q.query(ctx, sql, nil, args...)
}

// end makes what the member did part of the group, or undoes it, and returns
// what Write is to return once the group is committed.
func (t *tx) end(ctx context.Context, result error) error {
	if t.usable(ctx) == nil && t.g.ended == nil && result == nil {
		t.keep()
		return nil
	}
	why := t.ended
	if why == nil {
		why = t.g.ended
	}
	t.leave()
	if result != nil {
		return result
	}
	return why
}

// keep ends the savepoint, if there is one.
func (t *tx) keep() {
	t.ended = store.ErrOver
	if t.changes && !t.first {
		t.g.sendAhead(`RELEASE SAVEPOINT member`)
	}
}

// leave undoes what the member did, and nothing else.
func (t *tx) leave() {
	t.ended = store.ErrOver
	if !t.changes {
		return
	}
	t.g.head, t.g.last, t.g.written = t.was, t.wasLast, t.wasWritten
	if t.first {
		t.undoneAll = true
		return
	}
	t.g.sendAhead(`ROLLBACK TO SAVEPOINT member`)
	t.g.sendAhead(`RELEASE SAVEPOINT member`)
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
	r.Created, r.Revision = t.g.head+1, t.g.head+1
	n, err := t.change(ctx, createSQL, r.Name, string(r.Collection), r.Parent, r.Key, r.Open, bytes(r.Body),
		number(r.Created), t.now.UnixMicro(), slot(r.Collection, r.Parent, r.Key))
	if err == nil && n == 0 {
		err = t.nameOrKeyTaken(ctx, r)
	}
	if err != nil {
		return store.Record{}, err
	}
	t.moved(r.Revision)
	return r, nil
}

// createSQL writes a record and its journal entry, or nothing if the name or the
// key is taken: an error would end the transaction.
const createSQL = `WITH made AS (
		INSERT INTO record (` + recordColumns + `, slot) VALUES ($1, $2, $3, $4, $5, $6, $7, $7, $9)
		ON CONFLICT DO NOTHING RETURNING created)
	INSERT INTO journal (` + changeColumns + `) SELECT $1, $2, $3, $4, $5, $6, created, created, $8::bigint, 1 FROM made`

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
	r.Collection, r.Parent, r.Created, r.Revision = old.Collection, old.Parent, old.Created, t.g.head+1
	if r.Key != old.Key {
		if err := t.keyTaken(ctx, r); err != nil {
			return store.Record{}, err
		}
	}
	_, err = t.change(ctx, updateSQL, number(r.Created), r.Key, r.Open, bytes(r.Body), number(r.Revision), t.now.UnixMicro(),
		slot(r.Collection, r.Parent, r.Key))
	if err != nil {
		return store.Record{}, err
	}
	t.moved(r.Revision)
	return r, nil
}

const updateSQL = `WITH new AS (
		UPDATE record SET key = $2, open = $3, body = $4, revision = $5, slot = $7 WHERE created = $1 RETURNING ` + recordColumns + `)
	INSERT INTO journal (` + changeColumns + `) SELECT ` + recordColumns + `, $6::bigint, 2 FROM new`

// Delete is store.Tx's.
func (t *tx) Delete(ctx context.Context, name string) (uint64, error) {
	if err := t.usable(ctx); err != nil {
		return 0, err
	}
	if !storable(name) {
		return 0, store.ErrNotFound
	}
	n, err := t.change(ctx, deleteSQL, name, number(t.g.head+1), t.now.UnixMicro())
	if err == nil && n == 0 {
		err = store.ErrNotFound
	}
	if err != nil {
		return 0, err
	}
	t.moved(t.g.head + 1)
	return t.g.head, nil
}

const deleteSQL = `WITH gone AS (DELETE FROM record WHERE name = $1 RETURNING ` + recordColumns + `)
	INSERT INTO journal (` + changeColumns + `) SELECT name, collection, parent, key, open, body, created, $2::bigint, $3::bigint, 3 FROM gone`

// Erase is store.Tx's.
func (t *tx) Erase(ctx context.Context, name string) (int, error) {
	if err := t.usable(ctx); err != nil || !storable(name) {
		return 0, err
	}
	return t.change(ctx, eraseSQL, name)
}

const eraseSQL = `UPDATE journal SET body = '' WHERE name = $1 AND body <> ''
	AND change <> coalesce((SELECT revision FROM record WHERE name = $1), 0)`

// moved says that a change has been written.
func (t *tx) moved(to uint64) { t.g.head, t.g.last = to, t.now }

// nameOrKeyTaken tells which record has the name, or else the key, that a new
// record was refused for.
func (t *tx) nameOrKeyTaken(ctx context.Context, r store.Record) error {
	_, err := t.Get(ctx, r.Name)
	if err == nil {
		return &store.ExistsError{Name: r.Name}
	}
	if errors.Is(err, store.ErrNotFound) {
		err = t.keyTaken(ctx, r)
	}
	if err == nil {
		err = fmt.Errorf("store: %s: change %d is in the journal already, though the table registry does not say so", t.g.place, r.Created)
	}
	return err
}

// keyTaken returns a *store.ExistsError if another record has r's key.
func (t *tx) keyTaken(ctx context.Context, r store.Record) error {
	other, err := t.Find(ctx, r.Collection, r.Parent, r.Key)
	if errors.Is(err, store.ErrNotFound) {
		return nil
	}
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
	if err := store.CheckCursor(follower, to, t.g.head); err != nil {
		return err
	}
	_, err := t.change(ctx, `INSERT INTO cursor (follower, change) VALUES ($1, $2)
		ON CONFLICT (follower) DO UPDATE SET change = excluded.change`, follower, number(to))
	return err
}

// Remember is store.Tx's.
func (t *tx) Remember(ctx context.Context, a store.Answer) error {
	if err := t.usable(ctx); err != nil {
		return err
	}
	if err := a.Check(); err != nil {
		return err
	}
	n, err := t.change(ctx, `INSERT INTO answer (id, fingerprint, body, change, time) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT DO NOTHING`, a.ID, bytes(a.Fingerprint), bytes(a.Body), number(a.Change), t.now.UnixMicro())
	if err == nil && n == 0 {
		return &store.InvalidError{Field: "answer.id", Problem: fmt.Sprintf("is %q, which has been answered: recall that answer", a.ID)}
	}
	return err
}

// ask asks a question inside the transaction.
func ask[T any](ctx context.Context, t *tx, question func(*session) (T, error)) (T, error) {
	q, err := t.within(ctx)
	if err != nil {
		var none T
		return none, err
	}
	return question(q)
}

// Get is store.Reader's; so are those below.
func (t *tx) Get(ctx context.Context, name string) (store.Record, error) {
	return ask(ctx, t, func(q *session) (store.Record, error) { return q.Get(ctx, name) })
}

// GetMany is store.Reader's.
func (t *tx) GetMany(ctx context.Context, names []string) ([]store.Record, error) {
	return ask(ctx, t, func(q *session) ([]store.Record, error) { return q.GetMany(ctx, names) })
}

// Find is store.Reader's.
func (t *tx) Find(ctx context.Context, c store.Collection, parent, key string) (store.Record, error) {
	return ask(ctx, t, func(q *session) (store.Record, error) { return q.Find(ctx, c, parent, key) })
}

// List is store.Reader's.
func (t *tx) List(ctx context.Context, l store.Listing) ([]store.Record, error) {
	return ask(ctx, t, func(q *session) ([]store.Record, error) { return q.List(ctx, l) })
}

// Count is store.Reader's.
func (t *tx) Count(ctx context.Context, c store.Collection, parent string) (int, error) {
	return ask(ctx, t, func(q *session) (int, error) { return q.Count(ctx, c, parent) })
}

// Changes is store.Reader's.
func (t *tx) Changes(ctx context.Context, after uint64, limit int, of ...store.Collection) ([]store.Change, error) {
	return ask(ctx, t, func(q *session) ([]store.Change, error) { return q.Changes(ctx, after, limit, of...) })
}

// History is store.Reader's.
func (t *tx) History(ctx context.Context, name string, before uint64, limit int) ([]store.Change, error) {
	return ask(ctx, t, func(q *session) ([]store.Change, error) { return q.History(ctx, name, before, limit) })
}

// Head is store.Reader's. The registry row gets it only at the commit.
func (t *tx) Head(ctx context.Context) (uint64, error) {
	return ask(ctx, t, func(q *session) (uint64, error) { return t.g.head, q.usable(ctx) })
}

// Cursor is store.Reader's.
func (t *tx) Cursor(ctx context.Context, follower string) (uint64, error) {
	return ask(ctx, t, func(q *session) (uint64, error) { return q.Cursor(ctx, follower) })
}

// Recall is store.Reader's.
func (t *tx) Recall(ctx context.Context, id string) (store.Answer, error) {
	return ask(ctx, t, func(q *session) (store.Answer, error) { return q.Recall(ctx, id) })
}
