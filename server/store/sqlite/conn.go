package sqlite

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"
	"time"

	"github.com/ncruces/go-sqlite3"

	"heirpress/server/store"
)

// patience is how long a connection waits for another process's write to end.
// Such a write takes milliseconds; this is for a disk that has fallen asleep.
var patience = 30 * time.Second

// conn is a connection with its prepared statements, for one goroutine at a time.
type conn struct {
	db    *sqlite3.Conn
	path  string
	stmts map[string]*sqlite3.Stmt
}

// file is where a registry is kept.
type file struct {
	path string // absolute
	vfs  string // the file system, by SQLite's name for it; empty: the machine's
}

// open opens a file that exists, to read and write.
func (f file) open() (*conn, error) {
	db, err := sqlite3.OpenFlags(f.uri(), sqlite3.OPEN_READWRITE|sqlite3.OPEN_URI)
	if err != nil {
		return nil, explain(f.path, err)
	}
	c := &conn{db: db, path: f.path, stmts: map[string]*sqlite3.Stmt{}}
	if err := db.BusyTimeout(patience); err != nil {
		return nil, errors.Join(explain(f.path, err), c.close())
	}
	// What is deleted or erased is written over, not only given up.
	if err := c.exec(`PRAGMA synchronous = FULL; PRAGMA secure_delete = ON`); err != nil {
		return nil, errors.Join(err, c.close())
	}
	return c, nil
}

// uri names the file to SQLite, and says that those it makes beside it get the
// same mode: they hold the same secrets.
func (f file) uri() string {
	query := "modeof=" + strings.ReplaceAll(url.QueryEscape(f.path), "+", "%20") // a plus is not a space to SQLite
	if f.vfs != "" {
		query += "&vfs=" + f.vfs
	}
	u := url.URL{Scheme: "file", Path: filepath.ToSlash(f.path), RawQuery: query}
	return u.String()
}

// readCache is how much of the file a connection for reading keeps in memory, as
// SQLite takes it: 16 MiB. That holds the inner pages of some million records, so
// that finding one among them takes a read or two.
const readCache = "-16384"

// openReader is open for a connection that cannot change a record.
func (f file) openReader() (*conn, error) {
	c, err := f.open()
	if err != nil {
		return nil, err
	}
	if err := c.exec(`PRAGMA query_only = ON; PRAGMA cache_size = ` + readCache); err != nil {
		return nil, errors.Join(err, c.close())
	}
	return c, nil
}

// close closes the connection and its statements.
func (c *conn) close() error {
	for _, s := range c.stmts {
		s.Close()
	}
	return explain(c.path, c.db.Close())
}

// exec runs statements that answer nothing and are run once.
func (c *conn) exec(sql string) error {
	return explain(c.path, c.db.Exec(sql))
}

// query runs a statement, prepared at its first use, and calls each for every
// row. It stops early when ctx is done.
func (c *conn) query(ctx context.Context, sql string, each func(*sqlite3.Stmt), args ...any) error {
	defer c.db.SetInterrupt(c.db.SetInterrupt(ctx)) // sets it now, and the old one at the end
	err := c.step(sql, each, args)
	if err != nil && ctx.Err() != nil {
		return ctx.Err()
	}
	return explain(c.path, err)
}

func (c *conn) step(sql string, each func(*sqlite3.Stmt), args []any) error {
	s, err := c.prepare(sql)
	if err != nil {
		return err
	}
	defer s.Reset() // says again what Step said
	for i, arg := range args {
		if err := bind(s, i+1, arg); err != nil {
			return err
		}
	}
	for s.Step() {
		each(s)
	}
	return s.Err()
}

func (c *conn) prepare(sql string) (*sqlite3.Stmt, error) {
	if s := c.stmts[sql]; s != nil {
		return s, nil
	}
	s, _, err := c.db.PrepareFlags(sql, sqlite3.PREPARE_PERSISTENT)
	if err != nil {
		return nil, err
	}
	c.stmts[sql] = s
	return s, nil
}

// bind sets a parameter, counted from 1.
func bind(s *sqlite3.Stmt, i int, arg any) error {
	switch v := arg.(type) {
	case string:
		return s.BindText(i, v)
	case int64:
		return s.BindInt64(i, v)
	case bool:
		return s.BindBool(i, v)
	case []byte:
		if len(v) == 0 { // BindBlob makes nil a NULL
			return s.BindZeroBlob(i, 0)
		}
		return s.BindBlob(i, v)
	}
	panic(fmt.Sprintf("sqlite: cannot bind a %T", arg))
}

// rollback ends a transaction that has not been committed. If it cannot, the
// pool sees that and closes the connection.
func (c *conn) rollback() {
	if !c.db.GetAutocommit() {
		_ = c.query(context.Background(), `ROLLBACK`, nil)
	}
}

// explain adds to SQLite's error what file it is about and what to do.
func explain(path string, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, sqlite3.CORRUPT), errors.Is(err, sqlite3.NOTADB):
		return &store.UnusableError{Path: path, Reason: fmt.Sprintf("it is damaged (%v)", err)}
	case errors.Is(err, sqlite3.BUSY):
		return fmt.Errorf("store: another program has been writing to %s for %v; try again when it is done: %w", path, patience, err)
	case errors.Is(err, sqlite3.FULL):
		return fmt.Errorf("store: no room on the disk of %s; make some and try again: %w", path, err)
	}
	return fmt.Errorf("store: %s: %w", path, err)
}
