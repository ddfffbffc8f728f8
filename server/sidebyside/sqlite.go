package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"heirpress/server/sidebyside/lots"
)

// sqliteSchema keeps what is searched apart from what is answered with, so that
// searches read little.
const sqliteSchema = `
CREATE TABLE lots (
	id INTEGER PRIMARY KEY, state INT, kind INT, class INT, region INT, town INT,
	x REAL, y REAL, z REAL, least_kg REAL, prints INT, print_long REAL, print_short REAL);
CREATE TABLE bodies (id INTEGER PRIMARY KEY, name TEXT, wire BLOB);
CREATE TABLE reached (change INT);
CREATE VIRTUAL TABLE places USING rtree(id, south, north, west, east);
CREATE VIRTUAL TABLE words USING fts5(name, detail, shop, rest,
	content = '', contentless_delete = 1, prefix = '3 4', tokenize = "ascii tokenchars '.'");
INSERT INTO words (words, rank) VALUES ('rank', 'bm25(3.0, 2.0, 1.5, 0.7)');
CREATE VIRTUAL TABLE spoken USING fts5vocab(words, row);
`

// sqliteIndexes are made once lots are in; the last but one gathers the text
// index into one piece.
const sqliteIndexes = `
CREATE INDEX IF NOT EXISTS lots_what ON lots (state, kind, class, region);
CREATE INDEX IF NOT EXISTS lots_kind ON lots (kind, id, state);
CREATE INDEX IF NOT EXISTS lots_prints ON lots (state, id, print_long, print_short, least_kg) WHERE prints;
DROP TABLE IF EXISTS slips;
CREATE VIRTUAL TABLE slips USING spellfix1;
INSERT INTO slips (word, rank) SELECT term, doc FROM spoken WHERE length(term) > 2 AND term NOT GLOB '*[^a-z]*';
INSERT INTO words (words) VALUES ('optimize');
ANALYZE;
`

// sqlite is SQLite with FTS5 and an R*Tree. One goroutine may search while
// another posts.
type sqlite struct {
	path   string
	reader *sqliteConn
	writer *sqliteConn
	fresh  freshRows
}

func openSQLiteEngine(path string, g *lots.Generator) (*sqlite, error) {
	_, err := os.Stat(path)
	isNew := errors.Is(err, os.ErrNotExist)
	s := &sqlite{path: path, fresh: freshRows{lots: g}}
	if s.writer, err = openSQLite(path); err != nil {
		return nil, err
	}
	if isNew {
		if err := s.writer.exec(sqliteSchema); err != nil {
			return nil, errors.Join(err, s.close())
		}
	}
	if s.reader, err = openSQLite(path); err != nil {
		return nil, errors.Join(err, s.close())
	}
	return s, nil
}

func (s *sqlite) name() string { return liteName }

// used is this process's, which asks too.
func (s *sqlite) used() (time.Duration, error) { return readCPU(os.Getpid()) }

func (s *sqlite) reached(context.Context) (uint64, error) {
	n, err := s.reader.number(`SELECT max(change) FROM reached`)
	return uint64(n), err
}

// add is one transaction. Loading can be done again, so it need not be durable.
func (s *sqlite) add(_ context.Context, rows []*row) error {
	return s.write(`PRAGMA synchronous = OFF`, rows)
}

func (s *sqlite) write(pragma string, rows []*row) error {
	if err := s.writer.exec(pragma + `; BEGIN IMMEDIATE`); err != nil {
		return err
	}
	for _, r := range rows {
		if err := s.insert(r); err != nil {
			return errors.Join(fmt.Errorf("%s: %w", r.name, err), s.writer.exec(`ROLLBACK`))
		}
	}
	return s.writer.exec(`COMMIT`)
}

func (s *sqlite) insert(r *row) error {
	x, y, z := unit(r.point)
	err := s.writer.run(`INSERT INTO lots VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?)`,
		r.id, r.state, r.kind, r.class, r.region, r.town, x, y, z, r.leastKg, r.prints, r.printLong, r.printShort)
	if err != nil {
		return err
	}
	if err := s.writer.run(`INSERT INTO bodies VALUES (?,?,?)`, r.id, r.name, r.wire); err != nil {
		return err
	}
	if err := s.writer.run(`INSERT INTO places VALUES (?,?,?,?,?)`, r.id, r.point.Lat, r.point.Lat, r.point.Lng, r.point.Lng); err != nil {
		return err
	}
	text := func(column int) string { return strings.Join(r.words[column], " ") }
	return s.writer.run(`INSERT INTO words (rowid, name, detail, shop, rest) VALUES (?,?,?,?,?)`, r.id, text(0), text(1), text(2), text(3))
}

func (s *sqlite) finish(_ context.Context, reached uint64) error {
	if err := s.writer.exec(sqliteIndexes); err != nil {
		return err
	}
	if err := s.writer.run(`INSERT INTO reached VALUES (?)`, int64(reached)); err != nil {
		return err
	}
	return s.writer.exec(`PRAGMA wal_checkpoint(TRUNCATE)`)
}

// steady is durable, as a post is.
func (s *sqlite) steady(_ context.Context, many int) error {
	rows, err := s.fresh.take(many)
	if err != nil {
		return err
	}
	return s.write(`PRAGMA synchronous = FULL`, rows)
}

func (s *sqlite) unsteady(ctx context.Context) error { return s.forget(ctx, firstFreshID-1) }

func (s *sqlite) forget(_ context.Context, after uint64) error {
	// Lots go last, for the text index is told by them what there is.
	for _, sql := range []string{
		`DELETE FROM words WHERE rowid IN (SELECT id FROM lots WHERE id > ?)`, `DELETE FROM places WHERE id IN (SELECT id FROM lots WHERE id > ?)`,
		`DELETE FROM bodies WHERE id > ?`, `DELETE FROM lots WHERE id > ?`,
	} {
		if err := s.writer.run(sql, int64(after)); err != nil {
			return err
		}
	}
	return nil
}

func (s *sqlite) size() int64 { return databaseSize(s.path) }

func (s *sqlite) close() error {
	var errs []error
	for _, c := range []*sqliteConn{s.reader, s.writer} {
		if c != nil {
			errs = append(errs, c.close())
		}
	}
	return errors.Join(errs...)
}
