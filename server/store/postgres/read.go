package postgres

import (
	"context"
	"crypto/sha256"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/jackc/pgx/v5"

	"heirpress/server/store"
)

// session is one use of a connection: a question, or a transaction.
type session struct {
	place place
	c     *pgx.Conn
	// ahead are statements that answer nothing; they go to the server together
	// with the next one, so as not to wait for it once more.
	ahead []statement
	// ended is why it can go no further.
	ended error
}

type statement struct {
	sql  string
	args []any
}

// sendAhead has a statement that answers nothing sent together with the next.
func (q *session) sendAhead(sql string, args ...any) {
	q.ahead = append(q.ahead, statement{sql, args})
}

// usable returns why the session can go no further; a done ctx ends it.
func (q *session) usable(ctx context.Context) error {
	if q.ended == nil {
		q.ended = ctx.Err()
	}
	return q.ended
}

// query runs a statement, calls each for every row, and returns how many rows
// there were or were changed. An error ends the session.
func (q *session) query(ctx context.Context, sql string, each func(pgx.Rows) error, args ...any) (int, error) {
	if err := q.usable(ctx); err != nil {
		return 0, err
	}
	n, err := q.send(ctx, sql, each, args)
	q.ended = q.place.failure(ctx, err)
	return n, q.ended
}

func (q *session) send(ctx context.Context, sql string, each func(pgx.Rows) error, args []any) (n int, err error) {
	if len(q.ahead) == 0 {
		rows, err := q.c.Query(ctx, sql, args...)
		if err != nil {
			return 0, err
		}
		return gather(rows, each)
	}
	batch := new(pgx.Batch)
	for _, one := range q.ahead {
		batch.Queue(one.sql, one.args...)
	}
	batch.Queue(sql, args...).Query(func(rows pgx.Rows) error {
		n, err = gather(rows, each)
		return err
	})
	q.ahead = q.ahead[:0]
	return n, q.c.SendBatch(ctx, batch).Close()
}

func gather(rows pgx.Rows, each func(pgx.Rows) error) (int, error) {
	defer rows.Close()
	for rows.Next() {
		if err := each(rows); err != nil {
			return 0, err
		}
	}
	return int(rows.CommandTag().RowsAffected()), rows.Err()
}

// queryOne is query for at most one row; it returns ErrNotFound if there is none.
func (q *session) queryOne(ctx context.Context, sql string, scan func(pgx.Rows) error, args ...any) error {
	n, err := q.query(ctx, sql, scan, args...)
	if err == nil && n == 0 {
		return store.ErrNotFound
	}
	return err
}

// storable tells whether PostgreSQL can be asked about a text. What it cannot
// hold is not there to be found.
func storable(texts ...string) bool {
	for _, s := range texts {
		if !utf8.ValidString(s) || strings.ContainsRune(s, 0) {
			return false
		}
	}
	return true
}

// recordColumns are what scanRecord reads, in its order.
const recordColumns = `name, collection, parent, key, open, body, created, revision`

func scanRecord(rows pgx.Rows, r *store.Record) error {
	return rows.Scan(&r.Name, &r.Collection, &r.Parent, &r.Key, &r.Open, &r.Body, &r.Created, &r.Revision)
}

func (q *session) Get(ctx context.Context, name string) (r store.Record, err error) {
	if !storable(name) {
		return r, q.missing(ctx)
	}
	err = q.queryOne(ctx, `SELECT `+recordColumns+` FROM record WHERE name = $1`,
		func(rows pgx.Rows) error { return scanRecord(rows, &r) }, name)
	return r, err
}

// missing answers that there is no such thing, without asking.
func (q *session) missing(ctx context.Context) error {
	if err := q.usable(ctx); err != nil {
		return err
	}
	return store.ErrNotFound
}

func (q *session) GetMany(ctx context.Context, names []string) ([]store.Record, error) {
	asked := []string{} // an array, though it be empty
	for _, name := range names {
		if storable(name) {
			asked = append(asked, name)
		}
	}
	return q.records(ctx, `SELECT `+recordColumns+` FROM record WHERE name = ANY ($1)`, asked)
}

func (q *session) records(ctx context.Context, sql string, args ...any) ([]store.Record, error) {
	var found []store.Record
	_, err := q.query(ctx, sql, func(rows pgx.Rows) error {
		var r store.Record
		err := scanRecord(rows, &r)
		found = append(found, r)
		return err
	}, args...)
	return found, err
}

func (q *session) Find(ctx context.Context, c store.Collection, parent, key string) (r store.Record, err error) {
	if key == "" {
		return r, q.missing(ctx)
	}
	err = q.queryOne(ctx, findSQL, func(rows pgx.Rows) error { return scanRecord(rows, &r) }, slot(c, parent, key))
	return r, err
}

const findSQL = `SELECT ` + recordColumns + ` FROM record WHERE slot = $1`

// slot stands for a key of a collection and parent; nil for none.
func slot(c store.Collection, parent, key string) []byte {
	if key == "" {
		return nil
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%d:%d:%s%s%s", len(c), len(parent), c, parent, key))
	return sum[:]
}

func (q *session) List(ctx context.Context, l store.Listing) ([]store.Record, error) {
	if !storable(string(l.Collection), l.Parent) {
		return nil, q.usable(ctx)
	}
	args := []any{string(l.Collection), number(l.After), limit(l.Limit)}
	if !l.AnyParent {
		args = append(args, l.Parent)
	}
	return q.records(ctx, listSQL(l), args...)
}

// listSQL is one of four statements.
func listSQL(l store.Listing) string {
	where := ` WHERE collection = $1`
	if !l.AnyParent {
		where += ` AND parent = $4`
	}
	if l.OpenOnly {
		where += ` AND open`
	}
	return `SELECT ` + recordColumns + ` FROM record` + where + ` AND created > $2 ORDER BY created LIMIT $3`
}

func (q *session) Count(ctx context.Context, c store.Collection, parent string) (n int, err error) {
	if !storable(string(c), parent) {
		return 0, q.usable(ctx)
	}
	_, err = q.query(ctx, `SELECT count(*) FROM record WHERE collection = $1 AND parent = $2`,
		func(rows pgx.Rows) error { return rows.Scan(&n) }, string(c), parent)
	return n, err
}

func (q *session) Changes(ctx context.Context, after uint64, most int, of ...store.Collection) ([]store.Change, error) {
	args := []any{number(after), limit(most)}
	if len(of) > 0 {
		named := []string{}
		for _, c := range of {
			if storable(string(c)) {
				named = append(named, string(c))
			}
		}
		args = append(args, named)
	}
	return q.changes(ctx, changesSQL(len(of) > 0), args...)
}

// changesSQL reads the journal in order and passes over other collections; see
// the same in package sqlite.
func changesSQL(some bool) string {
	only := ""
	if some {
		only = ` AND collection = ANY ($3)`
	}
	return `SELECT ` + changeColumns + ` FROM journal WHERE change > $1` + only + ` ORDER BY change LIMIT $2`
}

func (q *session) History(ctx context.Context, name string, before uint64, most int) ([]store.Change, error) {
	if !storable(name) {
		return nil, q.usable(ctx)
	}
	if before == 0 {
		before = math.MaxInt64
	}
	return q.changes(ctx, historySQL, name, number(before), limit(most))
}

const historySQL = `SELECT ` + changeColumns + ` FROM journal WHERE name = $1 AND change < $2 ORDER BY change DESC LIMIT $3`

// changeColumns are what changes reads: recordColumns as the journal has them,
// and two more.
const changeColumns = `name, collection, parent, key, open, body, created, change, time, op`

func (q *session) changes(ctx context.Context, sql string, args ...any) ([]store.Change, error) {
	var found []store.Change
	_, err := q.query(ctx, sql, func(rows pgx.Rows) error {
		var c store.Change
		var at, op int64
		r := &c.Record
		err := rows.Scan(&r.Name, &r.Collection, &r.Parent, &r.Key, &r.Open, &r.Body, &r.Created, &r.Revision, &at, &op)
		c.Number, c.Time, c.Op = r.Revision, time.UnixMicro(at).UTC(), store.Op(op)
		found = append(found, c)
		return err
	}, args...)
	return found, err
}

func (q *session) Head(ctx context.Context) (head uint64, err error) {
	_, err = q.query(ctx, headSQL, func(rows pgx.Rows) error { return rows.Scan(&head) })
	return head, err
}

const headSQL = `SELECT head FROM registry`

func (q *session) Cursor(ctx context.Context, follower string) (to uint64, err error) {
	if !storable(follower) {
		return 0, q.usable(ctx)
	}
	_, err = q.query(ctx, `SELECT change FROM cursor WHERE follower = $1`,
		func(rows pgx.Rows) error { return rows.Scan(&to) }, follower)
	return to, err
}

func (q *session) Recall(ctx context.Context, id string) (a store.Answer, err error) {
	if !storable(id) {
		return a, q.missing(ctx)
	}
	err = q.queryOne(ctx, `SELECT id, fingerprint, body, change FROM answer WHERE id = $1`, func(rows pgx.Rows) error {
		return rows.Scan(&a.ID, &a.Fingerprint, &a.Body, &a.Change)
	}, id)
	return a, err
}

// number is a change number as PostgreSQL has it: signed.
func number(n uint64) int64 { return int64(min(n, math.MaxInt64)) }

// limit is the most rows to return, given what was asked for.
func limit(asked int) int64 {
	if asked <= 0 {
		return store.DefaultLimit
	}
	return int64(asked)
}

// bytes is a body as PostgreSQL has it: empty, but not NULL.
func bytes(b []byte) []byte {
	if b == nil {
		return []byte{}
	}
	return b
}
