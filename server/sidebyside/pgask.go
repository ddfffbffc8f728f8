package main

import (
	"context"
	"errors"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// pgClauses is conditions with numbered arguments.
type pgClauses struct{ clauses }

// arg binds a value, and is how it is written.
func (c *pgClauses) arg(v any) string {
	c.args = append(c.args, v)
	return "$" + strconv.Itoa(len(c.args))
}

func (p *postgres) ask(ctx context.Context, r *pb.SearchLotsRequest) (*answer, error) {
	q, err := questionOf(r)
	if err != nil {
		return nil, err
	}
	a := new(answer)
	if err := p.correct(ctx, q, a); err != nil {
		return nil, err
	}
	if q.order == byRank {
		return a, p.ranked(ctx, q, a)
	}
	if err := p.page(ctx, q, a); err != nil {
		return nil, err
	}
	if q.order == byDistance && q.withinKm == 0 && len(a.names) < q.limit {
		if err := p.overSea(ctx, q, a); err != nil {
			return nil, err
		}
	}
	return a, p.count(ctx, q, a)
}

// overSea adds lots that no road leads to: they come last, the newest first.
func (p *postgres) overSea(ctx context.Context, q *question, a *answer) error {
	c, _ := p.what(q)
	c.add("land <> " + c.arg(int16(q.land)))
	sql := `SELECT 0::bigint, ST_Distance(spot, ` + c.point(q.from) + `, false), name, wire FROM lots JOIN bodies USING (id)` + c.where() +
		` ORDER BY id DESC LIMIT ` + c.arg(q.limit-len(a.names))
	return p.hits(ctx, sql, c.args, a)
}

// correct takes a word that no lot has for the likest that one has.
func (p *postgres) correct(ctx context.Context, q *question, a *answer) error {
	for i, token := range q.tokens {
		var known bool
		if err := p.reader.QueryRow(ctx, `SELECT EXISTS (SELECT FROM vocabulary WHERE word = $1)`, token).Scan(&known); err != nil {
			return err
		}
		if known {
			continue
		}
		err := p.reader.QueryRow(ctx, `SELECT word FROM vocabulary WHERE word ~ '^[a-z]{3,}$' AND word % $1
			ORDER BY levenshtein(word, $1), ndoc DESC LIMIT 1`, token).Scan(&a.taken)
		switch {
		case errors.Is(err, pgx.ErrNoRows):
		case err != nil:
			return err
		default:
			q.tokens[i] = a.taken
		}
	}
	return nil
}

// what is the conditions of a question, and the query of its words.
func (p *postgres) what(q *question) (c *pgClauses, words string) {
	c = new(pgClauses)
	if q.hasWords() {
		words = c.arg(tsquery(q)) + "::tsquery"
		c.add("words @@ " + words)
	}
	c.one("state", q.states)
	c.one("kind", q.kinds)
	if q.sheet != nil {
		long, short := sidesOf(q.sheet)
		c.add("prints AND (print_long IS NULL OR print_long >= " + c.arg(long-slackMm) + " AND print_short >= " + c.arg(short-slackMm) + ")")
	}
	if q.mostKg > 0 {
		c.add("(least_kg IS NULL OR least_kg <= " + c.arg(q.mostKg) + ")")
	}
	if q.withinKm > 0 {
		c.add("land = " + c.arg(int16(q.land)) + " AND ST_DWithin(spot, " + c.point(q.from) + ", " + c.arg(1_000*q.withinKm) + ", false)")
	}
	return c, words
}

// one is the condition that a column has one of some values.
func (c *pgClauses) one(column string, values []int) {
	switch len(values) {
	case 0:
	case 1:
		c.add(column + " = " + c.arg(int16(values[0])))
	default:
		c.add(column + " = ANY(" + c.arg(numbers(values)) + ")")
	}
}

func (c *pgClauses) point(at *place.Point) string {
	return "ST_SetSRID(ST_MakePoint(" + c.arg(at.Lng) + "::float8, " + c.arg(at.Lat) + "::float8), 4326)::geography"
}

func tsquery(q *question) string {
	var all []string
	for _, token := range q.tokens {
		all = append(all, lexeme(token))
	}
	switch {
	case q.whole != "":
		all = append(all, "("+lexeme(q.beginning)+":* | "+lexeme(q.whole)+")")
	case q.beginning != "":
		all = append(all, lexeme(q.beginning)+":*")
	}
	return strings.Join(all, " & ")
}

// ranked finds the page and the total at once: to rank, all that is found is
// read anyway.
func (p *postgres) ranked(ctx context.Context, q *question, a *answer) error {
	c, words := p.what(q)
	total := "count(*) OVER ()"
	if p.bare {
		total = "0::bigint"
	}
	sql := `WITH found AS (SELECT id, ts_rank(words, ` + words + `) AS rank, ` + total + ` AS total FROM lots` + c.where() +
		` ORDER BY rank DESC, id DESC LIMIT ` + c.arg(q.limit) + `)
		SELECT total, 0::float8, name, wire FROM found JOIN bodies USING (id) ORDER BY rank DESC, id DESC`
	return p.hits(ctx, sql, c.args, a)
}

// page finds the page alone.
func (p *postgres) page(ctx context.Context, q *question, a *answer) error {
	c, _ := p.what(q)
	by, far := "id DESC", "0::float8"
	if q.order == byDistance {
		if q.withinKm == 0 {
			c.add("land = " + c.arg(int16(q.land)))
		}
		// Ties stay as they come: PostgreSQL would leave its index for them.
		by, far = "far", "spot <-> "+c.point(q.from)
	}
	sql := `WITH found AS (SELECT id, ` + far + ` AS far FROM lots` + c.where() + ` ORDER BY ` + by + ` LIMIT ` + c.arg(q.limit) + `)
		SELECT 0::bigint, far, name, wire FROM found JOIN bodies USING (id) ORDER BY ` + by
	return p.hits(ctx, sql, c.args, a)
}

func (p *postgres) hits(ctx context.Context, sql string, args []any, a *answer) error {
	rows, err := p.reader.Query(ctx, sql, args...)
	if err != nil {
		return err
	}
	var name string
	var wire []byte
	var total int64
	var metres float64
	_, err = pgx.ForEachRow(rows, []any{&total, &metres, &name, &wire}, func() error {
		a.names, a.km, a.total = append(a.names, name), append(a.km, metres/1_000), int(total)
		a.bytes += len(wire)
		return nil
	})
	return err
}

// count counts what was found, by what it is if that is asked.
func (p *postgres) count(ctx context.Context, q *question, a *answer) error {
	c, _ := p.what(q)
	if q.facets {
		return p.sort(ctx, c, a)
	}
	if p.bare {
		return nil
	}
	return p.reader.QueryRow(ctx, `SELECT count(*) FROM lots`+c.where(), c.args...).Scan(&a.total)
}

func (p *postgres) sort(ctx context.Context, c *pgClauses, a *answer) error {
	rows, err := p.reader.Query(ctx, `SELECT kind, class, region, count(*) FROM lots`+c.where()+` GROUP BY 1, 2, 3`, c.args...)
	if err != nil {
		return err
	}
	counts := sorts{}
	a.facets = counts
	var kind, class, region, count int
	_, err = pgx.ForEachRow(rows, []any{&kind, &class, &region, &count}, func() error {
		counts.add(kind, class, region, count)
		a.total += count
		return nil
	})
	return err
}
