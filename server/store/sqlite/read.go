package sqlite

import (
	"bytes"
	"context"
	"errors"
	"math"
	"strings"
	"time"

	"github.com/ncruces/go-sqlite3"

	"heirpress/server/store"
)

// session is one use of a connection: a question, or a transaction.
type session struct {
	c *conn
	// ended is why it can go no further: SQLite itself rolls back after some
	// errors, and what followed would then be outside the transaction.
	ended error
}

// query is conn.query; an error other than a breach of uniqueness ends the session.
func (q *session) query(ctx context.Context, sql string, each func(*sqlite3.Stmt), args ...any) error {
	if err := q.usable(ctx); err != nil {
		return err
	}
	err := q.c.query(ctx, sql, each, args...)
	if err != nil && !taken(err) {
		q.ended = err
	}
	return err
}

// taken tells whether err is the breach of a unique index. It undoes no more
// than its own statement.
func taken(err error) bool {
	return errors.Is(err, sqlite3.CONSTRAINT_UNIQUE) || errors.Is(err, sqlite3.CONSTRAINT_PRIMARYKEY)
}

// usable returns why the session can go no further; a done ctx ends it.
func (q *session) usable(ctx context.Context) error {
	if q.ended == nil {
		q.ended = ctx.Err()
	}
	return q.ended
}

// atOnce has ask, which may run many statements, read from one moment.
func (q *session) atOnce(ctx context.Context, ask func() error) error {
	if err := q.query(ctx, `BEGIN`, nil); err != nil {
		return err
	}
	defer q.c.rollback()
	return ask()
}

// queryOne is query for at most one row; it returns ErrNotFound if there is none.
func (q *session) queryOne(ctx context.Context, sql string, scan func(*sqlite3.Stmt), args ...any) error {
	found := false
	err := q.query(ctx, sql, func(s *sqlite3.Stmt) {
		found = true
		scan(s)
	}, args...)
	if err == nil && !found {
		return store.ErrNotFound
	}
	return err
}

// recordColumns are what record reads, in its order.
const recordColumns = `name, collection, parent, key, open, body, created, revision`

func record(s *sqlite3.Stmt) store.Record {
	return store.Record{
		Name:       s.ColumnText(0),
		Collection: store.Collection(s.ColumnText(1)),
		Parent:     s.ColumnText(2),
		Key:        s.ColumnText(3),
		Open:       s.ColumnInt64(4) != 0,
		Body:       bytes.Clone(s.ColumnRawBlob(5)),
		Created:    uint64(s.ColumnInt64(6)),
		Revision:   uint64(s.ColumnInt64(7)),
	}
}

func (q *session) Get(ctx context.Context, name string) (r store.Record, err error) {
	err = q.queryOne(ctx, `SELECT `+recordColumns+` FROM record WHERE name = ?`,
		func(s *sqlite3.Stmt) { r = record(s) }, name)
	return r, err
}

func (q *session) GetMany(ctx context.Context, names []string) ([]store.Record, error) {
	var found []store.Record
	asked := make(map[string]bool, len(names))
	for _, name := range names {
		if asked[name] {
			continue
		}
		asked[name] = true
		r, err := q.Get(ctx, name)
		if errors.Is(err, store.ErrNotFound) {
			continue
		}
		if err != nil {
			return nil, err
		}
		found = append(found, r)
	}
	return found, nil
}

func (q *session) Find(ctx context.Context, c store.Collection, parent, key string) (r store.Record, err error) {
	err = q.queryOne(ctx, findSQL, func(s *sqlite3.Stmt) { r = record(s) }, string(c), parent, key)
	return r, err
}

// That the key is not empty is said again so that the index of keys serves.
const findSQL = `SELECT ` + recordColumns + ` FROM record
	WHERE collection = ? AND parent = ? AND key = ? AND key <> ''`

func (q *session) List(ctx context.Context, l store.Listing) ([]store.Record, error) {
	var found []store.Record
	err := q.query(ctx, listSQL(l), func(s *sqlite3.Stmt) { found = append(found, record(s)) },
		string(l.Collection), l.Parent, number(l.After), limit(l.Limit))
	return found, err
}

// listSQL is one of four statements. All take the same parameters, though a
// listing of any parent does not look at the second.
func listSQL(l store.Listing) string {
	where := ` WHERE collection = ?1`
	if !l.AnyParent {
		where += ` AND parent = ?2`
	}
	if l.OpenOnly {
		where += ` AND open = 1`
	}
	return `SELECT ` + recordColumns + ` FROM record` + where + ` AND created > ?3 ORDER BY created LIMIT ?4`
}

func (q *session) Count(ctx context.Context, c store.Collection, parent string) (n int, err error) {
	err = q.query(ctx, `SELECT count(*) FROM record WHERE collection = ? AND parent = ?`,
		func(s *sqlite3.Stmt) { n = s.ColumnInt(0) }, string(c), parent)
	return n, err
}

func (q *session) Changes(ctx context.Context, after uint64, most int, of ...store.Collection) ([]store.Change, error) {
	var found []store.Change
	args := []any{number(after), limit(most)}
	for _, c := range of {
		args = append(args, string(c))
	}
	err := q.query(ctx, changesSQL(len(of)), func(s *sqlite3.Stmt) { found = append(found, change(s)) }, args...)
	return found, err
}

func (q *session) History(ctx context.Context, name string, before uint64, most int) ([]store.Change, error) {
	var found []store.Change
	if before == 0 {
		before = math.MaxInt64
	}
	err := q.query(ctx, historySQL, func(s *sqlite3.Stmt) { found = append(found, change(s)) },
		name, number(before), limit(most))
	return found, err
}

const historySQL = `SELECT ` + changeColumns + ` FROM journal WHERE name = ? AND change < ? ORDER BY change DESC LIMIT ?`

// changesSQL reads the journal in order and passes over other collections: an
// index by collection would cost every write more than that saves its readers,
// who are never far behind the head.
func changesSQL(collections int) string {
	only := ""
	if collections > 0 {
		only = ` AND collection IN (?3` + strings.Repeat(`, ?`, collections-1) + `)`
	}
	return `SELECT ` + changeColumns + ` FROM journal WHERE change > ?1` + only + ` ORDER BY change LIMIT ?2`
}

// changeColumns are what change reads: recordColumns as the journal has them,
// and two more.
const changeColumns = `name, collection, parent, key, open, body, created, change, time, op`

func change(s *sqlite3.Stmt) store.Change {
	r := record(s)
	return store.Change{
		Number: r.Revision,
		Time:   time.UnixMicro(s.ColumnInt64(8)).UTC(),
		Op:     store.Op(s.ColumnInt64(9)),
		Record: r,
	}
}

func (q *session) Head(ctx context.Context) (uint64, error) {
	head, _, err := q.last(ctx)
	return head, err
}

// last returns the number and the time of the last journal entry, or 0 and 1970.
func (q *session) last(ctx context.Context) (head uint64, at time.Time, err error) {
	err = q.query(ctx, `SELECT change, time FROM journal ORDER BY change DESC LIMIT 1`, func(s *sqlite3.Stmt) {
		head, at = uint64(s.ColumnInt64(0)), time.UnixMicro(s.ColumnInt64(1)).UTC()
	})
	return head, at, err
}

func (q *session) Cursor(ctx context.Context, follower string) (to uint64, err error) {
	err = q.query(ctx, `SELECT change FROM cursor WHERE follower = ?`,
		func(s *sqlite3.Stmt) { to = uint64(s.ColumnInt64(0)) }, follower)
	return to, err
}

func (q *session) Recall(ctx context.Context, id string) (a store.Answer, err error) {
	err = q.queryOne(ctx, `SELECT id, fingerprint, body, change FROM answer WHERE id = ?`,
		func(s *sqlite3.Stmt) { a = answer(s) }, id)
	return a, err
}

// number is a change number as SQLite has it: signed.
func number(n uint64) int64 { return int64(min(n, math.MaxInt64)) }

// limit is the most rows to return, given what was asked for.
func limit(asked int) int64 {
	if asked <= 0 {
		return store.DefaultLimit
	}
	return int64(asked)
}
