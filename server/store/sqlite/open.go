package sqlite

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/ncruces/go-sqlite3"

	"heirpress/server/store"
)

// locate makes a path absolute, so that it means a file whatever it looks like:
// to SQLite itself some are special, such as "" and ":memory:".
func locate(path string) (string, error) {
	if path == "" {
		return "", &store.InvalidError{Field: "path", Problem: "is empty: name the file of the registry"}
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", fmt.Errorf("store: %w", err)
	}
	return abs, nil
}

// openFirst opens the file, checks that it is a registry that this program
// knows, and brings it up to date.
func (f file) openFirst() (*conn, error) {
	if err := f.checkHeader(); err != nil {
		return nil, err
	}
	hasLog := exists(f.path + "-wal")
	c, err := f.open()
	if err != nil {
		return nil, err
	}
	if err := c.makeReady(hasLog); err != nil {
		return nil, errors.Join(err, c.close())
	}
	return c, nil
}

// makeReady checks once more what the file is, now counting what SQLite's log
// holds, and migrates. Until that check is passed it must not be this connection
// that empties the log into the file, as the last one to close does.
func (c *conn) makeReady(hasLog bool) error {
	ctx := context.Background()
	if _, err := c.db.Config(sqlite3.DBCONFIG_NO_CKPT_ON_CLOSE, hasLog); err != nil {
		return explain(c.path, err)
	}
	q := &session{c: c}
	// At once: another process may be making the file.
	if err := q.atOnce(ctx, func() error { return q.checkContent(ctx) }); err != nil {
		return err
	}
	if err := migrate(ctx, c); err != nil {
		return err
	}
	if err := c.writeAhead(ctx); err != nil {
		return err
	}
	_, err := c.db.Config(sqlite3.DBCONFIG_NO_CKPT_ON_CLOSE, false)
	return explain(c.path, err)
}

// writeAhead has the file write ahead to a log, if it does not yet. Of two that
// do this to a new file at once, SQLite refuses one instead of having it wait.
func (c *conn) writeAhead(ctx context.Context) error {
	for began := time.Now(); ; time.Sleep(time.Millisecond) {
		var mode string
		err := c.query(ctx, `PRAGMA journal_mode = WAL`, func(s *sqlite3.Stmt) { mode = s.ColumnText(0) })
		if errors.Is(err, sqlite3.BUSY) && time.Since(began) < patience {
			continue
		}
		if err == nil && mode != "wal" {
			err = fmt.Errorf("store: the file system of %s cannot share memory between programs; keep the registry on a local disk", c.path)
		}
		return err
	}
}

// Reasons why a file is refused.
const (
	notRegistry   = "it is not a heirpress registry"
	foreignSQLite = "it is an SQLite file of another program"
	cutOff        = "it is cut off"
)

// checkContent refuses a file that is not a registry, or is too new, by what
// SQLite reads in it. A file without anything in it is a registry not yet begun.
func (q *session) checkContent(ctx context.Context) error {
	var id, entries int
	if err := q.query(ctx, `PRAGMA application_id`, func(s *sqlite3.Stmt) { id = s.ColumnInt(0) }); err != nil {
		return err
	}
	if err := q.query(ctx, `SELECT count(*) FROM sqlite_schema`, func(s *sqlite3.Stmt) { entries = s.ColumnInt(0) }); err != nil {
		return err
	}
	if id != applicationID && entries > 0 {
		return &store.UnusableError{Path: q.c.path, Reason: foreignSQLite}
	}
	return q.checkVersion(ctx)
}

// Where SQLite's file format has what checkHeader looks at; see
// https://sqlite.org/fileformat2.html, sections 1.3 and 3.
const (
	headerSize    = 100
	journalMagic  = "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7"
	magic         = "SQLite format 3\x00"
	userVersionAt = 60
	applicationAt = 68
)

// private is the mode of a registry: it holds addresses.
const private = 0o600

// checkHeader refuses, before SQLite touches anything, a file that does not
// begin as a registry or is too new. It makes a missing file, empty, so that it
// is private from the first byte.
func (f file) checkHeader() error {
	r, err := os.OpenFile(f.path, os.O_RDWR|os.O_CREATE, private)
	if err != nil {
		return fmt.Errorf("store: cannot open the registry: %w", err)
	}
	defer r.Close()
	header := make([]byte, headerSize)
	n, err := io.ReadFull(r, header)
	switch {
	case errors.Is(err, io.EOF):
		return nil
	case err != nil && !errors.Is(err, io.ErrUnexpectedEOF):
		return fmt.Errorf("store: cannot read the registry: %w", err)
	}
	return f.judge(header[:n])
}

// judge tells whether a file that begins with header may be given to SQLite.
func (f file) judge(header []byte) error {
	switch {
	case !bytes.HasPrefix(header, []byte(magic)):
		if f.halfMade() {
			return nil
		}
		return &store.UnusableError{Path: f.path, Reason: notRegistry}
	case len(header) < headerSize:
		return &store.UnusableError{Path: f.path, Reason: cutOff}
	case binary.BigEndian.Uint32(header[applicationAt:]) != applicationID:
		return &store.UnusableError{Path: f.path, Reason: foreignSQLite}
	}
	return known(f.path, int(binary.BigEndian.Uint32(header[userVersionAt:])))
}

// halfMade tells whether the power failed while the file was made. SQLite will
// undo that, by the journal it keeps while there is no log yet.
func (f file) halfMade() bool {
	r, err := os.Open(f.path + "-journal")
	if err != nil {
		return false
	}
	defer r.Close()
	begins := make([]byte, len(journalMagic))
	_, err = io.ReadFull(r, begins)
	return err == nil && string(begins) == journalMagic
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return !errors.Is(err, fs.ErrNotExist)
}
