package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/ext/fts5"
	"github.com/ncruces/go-sqlite3/ext/rtree"
	"github.com/ncruces/go-sqlite3/ext/spellfix1"
)

// sqliteConn is a connection to SQLite with its prepared statements, for one
// goroutine at a time.
type sqliteConn struct {
	db       *sqlite3.Conn
	prepared map[string]*sqlite3.Stmt
}

// sqliteMemory is what a connection may take, in bytes: its cache is as large as
// PostgreSQL's.
const sqliteMemory = 2 << 30

func openSQLite(path string) (*sqliteConn, error) {
	db, err := sqlite3.OpenContext(sqlite3.WithMaxMemory(context.Background(), sqliteMemory), path)
	if err != nil {
		return nil, err
	}
	c := &sqliteConn{db: db, prepared: map[string]*sqlite3.Stmt{}}
	for _, extend := range []func(*sqlite3.Conn) error{fts5.Register, rtree.Register, spellfix1.Register} {
		if err := extend(db); err != nil {
			return nil, errors.Join(err, c.close())
		}
	}
	return c, c.exec(`PRAGMA journal_mode = WAL; PRAGMA cache_size = -1000000; PRAGMA temp_store = MEMORY; PRAGMA busy_timeout = 60000`)
}

func (c *sqliteConn) exec(sql string) error { return c.db.Exec(sql) }

// rows runs a statement and shows each row of its answer.
func (c *sqliteConn) rows(sql string, args []any, show func(*sqlite3.Stmt)) (err error) {
	s := c.prepared[sql]
	if s == nil {
		if s, _, err = c.db.Prepare(sql); err != nil {
			return fmt.Errorf("%s: %w", sql, err)
		}
		c.prepared[sql] = s
	}
	defer func() { err = errors.Join(err, s.Reset()) }()
	for i, arg := range args {
		if err := bind(s, i+1, arg); err != nil {
			return err
		}
	}
	for s.Step() {
		show(s)
	}
	return s.Err()
}

// run runs a statement that has no answer.
func (c *sqliteConn) run(sql string, args ...any) error {
	return c.rows(sql, args, func(*sqlite3.Stmt) {})
}

// number is the first figure of an answer, 0 if there is none.
func (c *sqliteConn) number(sql string, args ...any) (n int64, err error) {
	err = c.rows(sql, args, func(s *sqlite3.Stmt) { n = s.ColumnInt64(0) })
	return n, err
}

func bind(s *sqlite3.Stmt, at int, arg any) error {
	switch v := arg.(type) {
	case int:
		return s.BindInt64(at, int64(v))
	case int64:
		return s.BindInt64(at, v)
	case float64:
		return s.BindFloat(at, v)
	case *float64:
		if v == nil {
			return s.BindNull(at)
		}
		return s.BindFloat(at, *v)
	case string:
		return s.BindText(at, v)
	case []byte:
		return s.BindBlob(at, v)
	case bool:
		return s.BindBool(at, v)
	}
	return fmt.Errorf("a %T cannot be bound", arg)
}

func (c *sqliteConn) close() error {
	for _, s := range c.prepared {
		_ = s.Close()
	}
	return c.db.Close()
}
