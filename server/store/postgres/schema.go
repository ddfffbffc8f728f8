package postgres

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"fmt"

	"github.com/jackc/pgx/v5"

	"heirpress/server/store"
)

// migrations bring the schema from each version to the next: the first makes
// version 1 of an empty schema. A migration that has been released is never
// changed.
//
// Text is compared byte by byte (COLLATE "C"), as SQLite and the model do.
var migrations = []string{
	// The one row of registry is what every writing transaction locks first. So
	// transactions follow one another whichever daemon they come from, and change
	// numbers are in the order of commits: a reader of the journal can be sure
	// that nothing at or below the last number it has seen is still to come.
	//
	// A key with its collection and parent can be longer than PostgreSQL indexes,
	// so a digest of the three stands for them.
	`CREATE TABLE registry (
		one     boolean PRIMARY KEY DEFAULT true CHECK (one),
		id      text   NOT NULL,
		version bigint NOT NULL,
		head    bigint NOT NULL, -- the last change number
		time    bigint NOT NULL  -- of that change: microseconds since 1970, UTC
	) WITH (fillfactor = 10);

	CREATE TABLE record (
		created    bigint PRIMARY KEY,
		revision   bigint NOT NULL,
		name       text COLLATE "C" NOT NULL UNIQUE,
		collection text COLLATE "C" NOT NULL,
		parent     text COLLATE "C" NOT NULL,
		key        text COLLATE "C" NOT NULL,
		slot       bytea UNIQUE, -- see the function slot; NULL if there is no key
		open       boolean NOT NULL,
		body       bytea NOT NULL
	);
	CREATE INDEX record_by_collection ON record (collection, created);
	CREATE INDEX record_by_parent ON record (collection, parent, created);
	CREATE INDEX record_open ON record (collection, created) WHERE open;
	CREATE INDEX record_open_by_parent ON record (collection, parent, created) WHERE open;

	CREATE TABLE journal (
		change     bigint PRIMARY KEY,
		time       bigint NOT NULL, -- microseconds since 1970, UTC
		op         smallint NOT NULL, -- store.Op
		created    bigint NOT NULL,
		name       text COLLATE "C" NOT NULL,
		collection text COLLATE "C" NOT NULL,
		parent     text COLLATE "C" NOT NULL,
		key        text COLLATE "C" NOT NULL,
		open       boolean NOT NULL,
		body       bytea NOT NULL
	);
	CREATE INDEX journal_by_name ON journal (name, change);

	CREATE TABLE cursor (
		follower text COLLATE "C" PRIMARY KEY,
		change   bigint NOT NULL
	);

	CREATE TABLE answer (
		id          text COLLATE "C" PRIMARY KEY,
		fingerprint bytea NOT NULL,
		body        bytea NOT NULL,
		change      bigint NOT NULL,
		time        bigint NOT NULL -- microseconds since 1970, UTC
	);
	CREATE INDEX answer_by_time ON answer (time);`,
}

// SchemaVersion is the version that the migrations lead to, and the newest that
// this program knows.
var SchemaVersion = len(migrations)

// migrationKey is the advisory lock under which the schema is looked at and
// changed, by one daemon at a time: "HPRS".
const migrationKey = 0x48505253

// identity is what the registry row says and never changes, but for migrations.
type identity struct {
	id      string
	version int
}

// makeReady checks that the schema is a registry that this program knows, and
// brings it up to date, making it if there is nothing. All of it is one
// transaction: should anything fail, nothing was touched.
// It returns what tells the registry from others.
func (p place) makeReady(ctx context.Context, c *pgx.Conn) (id string, err error) {
	var found identity
	err = pgx.BeginFunc(ctx, c, func(tx pgx.Tx) (err error) {
		if _, err := tx.Exec(ctx, `SET LOCAL statement_timeout = 0`); err != nil { // an index may take its time
			return err
		}
		if _, err := tx.Exec(ctx, `SELECT pg_advisory_xact_lock($1)`, migrationKey); err != nil {
			return err
		}
		if found, err = p.look(ctx, tx); err != nil {
			return err
		}
		for ; found.version < SchemaVersion; found.version++ {
			if err := p.migrate(ctx, tx, &found); err != nil {
				return err
			}
		}
		return nil
	})
	return found.id, err
}

// look tells which registry the schema holds: version 0 if it holds nothing.
func (p place) look(ctx context.Context, tx pgx.Tx) (found identity, err error) {
	var tables, ours int
	err = tx.QueryRow(ctx, `SELECT count(*), count(*) FILTER (WHERE c.relname IN ('registry', 'record', 'journal'))
		FROM pg_catalog.pg_class c JOIN pg_catalog.pg_namespace n ON n.oid = c.relnamespace
		WHERE n.nspname = $1 AND c.relkind = 'r'`, p.schema).Scan(&tables, &ours)
	if err != nil || tables == 0 {
		return found, err
	}
	if ours < 3 {
		return found, &store.UnusableError{Path: p.String(), Reason: fmt.Sprintf("its schema %s has tables of another program", p.schema)}
	}
	if err := tx.QueryRow(ctx, `SELECT id, version FROM registry`).Scan(&found.id, &found.version); err != nil {
		return found, err
	}
	return found, p.known(found.version)
}

// known refuses what a newer program has made.
func (p place) known(version int) error {
	if version > SchemaVersion {
		return &store.NewerError{Path: p.String(), Found: version, Known: SchemaVersion}
	}
	return nil
}

// migrate applies the next migration.
func (p place) migrate(ctx context.Context, tx pgx.Tx, now *identity) error {
	if now.version > 0 {
		if _, err := tx.Exec(ctx, migrations[now.version]); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `UPDATE registry SET version = $1`, now.version+1)
		return err
	}
	if _, err := tx.Exec(ctx, `CREATE SCHEMA IF NOT EXISTS `+pgx.Identifier{p.schema}.Sanitize()); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, migrations[0]); err != nil {
		return err
	}
	now.id = newID()
	_, err := tx.Exec(ctx, `INSERT INTO registry (id, version, head, time) VALUES ($1, 1, 0, 0)`, now.id)
	return err
}

// newID is what tells one registry from another.
func newID() string {
	id := make([]byte, 8)
	rand.Read(id) //nolint:errcheck // never fails
	return hex.EncodeToString(id)
}
