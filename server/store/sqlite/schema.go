package sqlite

import (
	"context"
	"fmt"

	"github.com/ncruces/go-sqlite3"

	"heirpress/server/store"
)

// applicationID marks a file as a registry: "HPRS".
const applicationID = 0x48505253

// migrations bring the schema from each version to the next: the first makes
// version 1 of an empty file. A migration that has been released is never
// changed; a registry of every version is kept in testdata/store and opened by
// the tests.
var migrations = []string{
	// A record's row is found by the number of its creation, which is unique and
	// is also the order of lists, so that new ones go at the end of the table.
	// Bodies stand last, so that what passes over a row need not read its body.
	`CREATE TABLE record (
		created    INTEGER PRIMARY KEY,
		revision   INTEGER NOT NULL,
		name       TEXT NOT NULL UNIQUE,
		collection TEXT NOT NULL,
		parent     TEXT NOT NULL,
		key        TEXT NOT NULL,
		open       INTEGER NOT NULL,
		body       BLOB NOT NULL
	) STRICT;
	CREATE INDEX record_by_collection ON record (collection);
	CREATE INDEX record_by_parent ON record (collection, parent);
	CREATE INDEX record_open ON record (collection) WHERE open = 1;
	CREATE INDEX record_open_by_parent ON record (collection, parent) WHERE open = 1;
	CREATE UNIQUE INDEX record_by_key ON record (collection, parent, key) WHERE key <> '';

	CREATE TABLE journal (
		change     INTEGER PRIMARY KEY,
		time       INTEGER NOT NULL, -- microseconds since 1970, UTC
		op         INTEGER NOT NULL, -- store.Op
		created    INTEGER NOT NULL,
		name       TEXT NOT NULL,
		collection TEXT NOT NULL,
		parent     TEXT NOT NULL,
		key        TEXT NOT NULL,
		open       INTEGER NOT NULL,
		body       BLOB NOT NULL
	) STRICT;
	CREATE INDEX journal_by_name ON journal (name);

	CREATE TABLE cursor (
		follower TEXT PRIMARY KEY,
		change   INTEGER NOT NULL
	) STRICT, WITHOUT ROWID;

	CREATE TABLE answer (
		id          TEXT PRIMARY KEY,
		fingerprint BLOB NOT NULL,
		body        BLOB NOT NULL,
		change      INTEGER NOT NULL,
		time        INTEGER NOT NULL -- microseconds since 1970, UTC
	) STRICT, WITHOUT ROWID;
	CREATE INDEX answer_by_time ON answer (time);`,
}

// SchemaVersion is the version that the migrations lead to, and the newest that
// this program knows.
var SchemaVersion = len(migrations)

// version reads which schema the file has: 0 for none.
func (q *session) version(ctx context.Context) (v int, err error) {
	err = q.query(ctx, `PRAGMA user_version`, func(s *sqlite3.Stmt) { v = s.ColumnInt(0) })
	return v, err
}

// checkVersion returns *store.NewerError if the schema is not one this program knows.
func (q *session) checkVersion(ctx context.Context) error {
	v, err := q.version(ctx)
	if err != nil {
		return err
	}
	return known(q.c.path, v)
}

func known(path string, version int) error {
	if version > SchemaVersion {
		return &store.NewerError{Path: path, Found: version, Known: SchemaVersion}
	}
	return nil
}

// migrate applies what is missing, each migration in a transaction of its own:
// should the process die, the file has some whole version of the schema.
func migrate(ctx context.Context, c *conn) error {
	for {
		done, err := migrateOne(ctx, c)
		if done || err != nil {
			return err
		}
	}
}

func migrateOne(ctx context.Context, c *conn) (done bool, err error) {
	q := &session{c: c}
	if v, err := q.version(ctx); v == SchemaVersion || err != nil {
		return true, err
	}
	if err := q.query(ctx, `BEGIN IMMEDIATE`, nil); err != nil {
		return false, err
	}
	defer c.rollback()
	v, err := q.version(ctx) // again: another process may have been first
	if err != nil {
		return false, err
	}
	if v >= SchemaVersion {
		return true, known(c.path, v)
	}
	if err := c.exec(migrations[v]); err != nil {
		return false, err
	}
	stamp := fmt.Sprintf(`PRAGMA application_id = %d; PRAGMA user_version = %d`, applicationID, v+1)
	if err := c.exec(stamp); err != nil {
		return false, err
	}
	return false, q.query(ctx, `COMMIT`, nil)
}
