package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"heirpress/server/sidebyside/lots"
)

// pgSchema keeps what is searched apart from what is answered with. autovacuum
// may do as it likes.
const pgSchema = `
CREATE EXTENSION IF NOT EXISTS postgis;
CREATE EXTENSION IF NOT EXISTS btree_gist;
CREATE EXTENSION IF NOT EXISTS pg_trgm;
CREATE EXTENSION IF NOT EXISTS fuzzystrmatch;
CREATE TABLE IF NOT EXISTS lots (
	id bigint, state smallint NOT NULL, kind smallint NOT NULL, class smallint NOT NULL, region smallint NOT NULL,
	town int NOT NULL, spot geography(Point) NOT NULL, least_kg float8,
	prints boolean NOT NULL, print_long float8, print_short float8, words tsvector NOT NULL);
CREATE TABLE IF NOT EXISTS bodies (id bigint, name text NOT NULL, wire bytea NOT NULL);
CREATE TABLE IF NOT EXISTS reached (change bigint);
`

// pgIndexes are made once lots are in, for the searches that there are.
var pgIndexes = []string{
	`ALTER TABLE lots DROP CONSTRAINT IF EXISTS lots_pkey`,
	`ALTER TABLE bodies DROP CONSTRAINT IF EXISTS bodies_pkey`,
	`ALTER TABLE lots ADD PRIMARY KEY (id)`,
	`ALTER TABLE bodies ADD PRIMARY KEY (id)`,
	`CREATE INDEX IF NOT EXISTS lots_words ON lots USING gin (words)`,
	`CREATE INDEX IF NOT EXISTS lots_spot ON lots USING gist (spot)`,
	`CREATE INDEX IF NOT EXISTS lots_kind_spot ON lots USING gist (kind, spot)`,
	`CREATE INDEX IF NOT EXISTS lots_what ON lots (state, kind, class, region)`,
	`CREATE INDEX IF NOT EXISTS lots_kind ON lots (kind, id) INCLUDE (state)`,
	`CREATE INDEX IF NOT EXISTS lots_prints ON lots (state, id) INCLUDE (print_long, print_short, least_kg, kind) WHERE prints`,
	`DROP TABLE IF EXISTS vocabulary`,
	`CREATE TABLE vocabulary AS SELECT word, ndoc FROM ts_stat('SELECT words FROM lots')`,
	`CREATE UNIQUE INDEX vocabulary_word ON vocabulary (word)`,
	`CREATE INDEX vocabulary_like ON vocabulary USING gin (word gin_trgm_ops) WHERE word ~ '^[a-z]{3,}$'`,
	`VACUUM (ANALYZE) lots`,
	`VACUUM (ANALYZE) bodies`,
	`VACUUM (ANALYZE) vocabulary`,
	`CHECKPOINT`,
}

// postgres is PostgreSQL with PostGIS and a GIN index. One goroutine may search
// while another posts.
type postgres struct {
	cluster *cluster
	reader  *pgx.Conn
	writer  *pgx.Conn
	fresh   freshRows
	// bare leaves out the total, which costs PostgreSQL much.
	bare bool
}

func openPostgres(ctx context.Context, dir string, g *lots.Generator) (*postgres, error) {
	c, err := startCluster(ctx, dir)
	if err != nil {
		return nil, err
	}
	p := &postgres{cluster: c, fresh: freshRows{lots: g}}
	for _, conn := range []**pgx.Conn{&p.reader, &p.writer} {
		if *conn, err = c.connect(ctx); err != nil {
			return nil, errors.Join(err, p.close())
		}
	}
	if _, err = p.writer.Exec(ctx, pgSchema); err != nil {
		return nil, errors.Join(err, p.close())
	}
	// A slip of a word may be as unlike it as this.
	_, err = p.reader.Exec(ctx, `SET pg_trgm.similarity_threshold = 0.35`)
	return p, err
}

func (p *postgres) name() string {
	if p.bare {
		return bareName
	}
	return pgName
}

// used is that of the connection's process, and of those that have helped it:
// when they end, they are their parent's.
func (p *postgres) used() (time.Duration, error) {
	own, err := readCPU(int(p.reader.PgConn().PID()))
	if err != nil {
		return 0, err
	}
	helpers, err := readChildrenCPU(p.cluster.cmd.Process.Pid)
	return own + helpers, err
}

func (p *postgres) reached(ctx context.Context) (uint64, error) {
	var n int64
	err := p.reader.QueryRow(ctx, `SELECT coalesce(max(change), 0) FROM reached`).Scan(&n)
	return uint64(n), err
}

func (p *postgres) add(ctx context.Context, rows []*row) error {
	return p.write(ctx, rows)
}

// Lots are copied in by way of a table of plain types, for COPY's binary form of
// the others is not known to pgx.
const stagedLots = `CREATE TEMPORARY TABLE IF NOT EXISTS staged (
	id bigint, state smallint, kind smallint, class smallint, region smallint, town int, lat float8, lng float8,
	least_kg float8, prints boolean, print_long float8, print_short float8, words text)`

const unstage = `INSERT INTO lots SELECT id, state, kind, class, region, town,
	ST_SetSRID(ST_MakePoint(lng, lat), 4326)::geography, least_kg, prints, print_long, print_short, words::tsvector FROM staged`

// write copies rows in, in one transaction.
func (p *postgres) write(ctx context.Context, rows []*row) error {
	if _, err := p.writer.Exec(ctx, stagedLots); err != nil {
		return err
	}
	return pgx.BeginFunc(ctx, p.writer, func(tx pgx.Tx) error {
		columns := []string{"id", "state", "kind", "class", "region", "town", "lat", "lng", "least_kg", "prints", "print_long", "print_short", "words"}
		_, err := tx.CopyFrom(ctx, pgx.Identifier{"staged"}, columns, pgx.CopyFromSlice(len(rows), func(i int) ([]any, error) {
			r := rows[i]
			return []any{r.id, r.state, r.kind, r.class, r.region, r.town, r.point.Lat, r.point.Lng,
				r.leastKg, r.prints, r.printLong, r.printShort, vector(r)}, nil
		}))
		if err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, unstage); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `TRUNCATE staged`); err != nil {
			return err
		}
		_, err = tx.CopyFrom(ctx, pgx.Identifier{"bodies"}, []string{"id", "name", "wire"}, pgx.CopyFromSlice(len(rows), func(i int) ([]any, error) {
			return []any{rows[i].id, rows[i].name, rows[i].wire}, nil
		}))
		return err
	})
}

// vector writes tokens as a tsvector, each with its weight and none parsed
// again.
func vector(r *row) string {
	var b strings.Builder
	position := 0
	for column, tokens := range r.words {
		for _, token := range tokens {
			position++
			fmt.Fprintf(&b, "%s:%d%c ", lexeme(token), min(position, 16_000), "ABCD"[column])
		}
	}
	return b.String()
}

// lexeme quotes a token.
func lexeme(token string) string {
	return "'" + strings.NewReplacer(`'`, `''`, `\`, `\\`).Replace(token) + "'"
}

func (p *postgres) finish(ctx context.Context, reached uint64) error {
	for _, sql := range pgIndexes {
		if _, err := p.writer.Exec(ctx, sql); err != nil {
			return fmt.Errorf("%s: %w", sql, err)
		}
	}
	_, err := p.writer.Exec(ctx, `INSERT INTO reached VALUES ($1)`, int64(reached))
	return err
}

func (p *postgres) steady(ctx context.Context, many int) error {
	rows, err := p.fresh.take(many)
	if err != nil {
		return err
	}
	return p.write(ctx, rows)
}

func (p *postgres) unsteady(ctx context.Context) error {
	if err := p.forget(ctx, firstFreshID-1); err != nil {
		return err
	}
	for _, sql := range []string{`VACUUM (ANALYZE) lots`, `VACUUM (ANALYZE) bodies`} {
		if _, err := p.writer.Exec(ctx, sql); err != nil {
			return err
		}
	}
	return nil
}

func (p *postgres) forget(ctx context.Context, after uint64) error {
	for _, sql := range []string{`DELETE FROM lots WHERE id > $1`, `DELETE FROM bodies WHERE id > $1`} {
		if _, err := p.writer.Exec(ctx, sql, int64(after)); err != nil {
			return err
		}
	}
	return nil
}

// size leaves out the log of writes.
func (p *postgres) size() int64 { return folderSize(filepath.Join(p.cluster.data, "base")) }

func (p *postgres) close() error {
	for _, c := range []*pgx.Conn{p.reader, p.writer} {
		if c != nil {
			_ = c.Close(context.Background())
		}
	}
	return p.cluster.stop()
}

// numbers is a list as PostgreSQL's smallint[] takes it.
func numbers(list []int) []int16 {
	all := make([]int16, 0, len(list))
	for _, n := range slices.Sorted(slices.Values(list)) {
		all = append(all, int16(n))
	}
	return all
}
