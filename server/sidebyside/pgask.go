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
	rarest, err := p.correct(ctx, q, a)
	if err != nil {
		return nil, err
	}
	if q.order == byRank {
		return a, p.ranked(ctx, q, rarest > manyRanked, a)
	}
	if err := p.page(ctx, q, a); err != nil {
		return nil, err
	}
	return a, p.count(ctx, q, a)
}

// correct takes a word that no lot has for the likest that one has. It returns
// how many lots have the rarest of the words; 0 if there are no whole words.
func (p *postgres) correct(ctx context.Context, q *question, a *answer) (rarest int, err error) {
	for i, token := range q.tokens {
		var having int
		err := p.reader.QueryRow(ctx, `SELECT ndoc FROM vocabulary WHERE word = $1`, token).Scan(&having)
		if errors.Is(err, pgx.ErrNoRows) {
			having, err = p.likest(ctx, &q.tokens[i], a)
		}
		if err != nil {
			return 0, err
		}
		if i == 0 || having < rarest {
			rarest = having
		}
	}
	return rarest, nil
}

// likest takes one word for the likest that there is, if one is like enough.
func (p *postgres) likest(ctx context.Context, token *string, a *answer) (having int, err error) {
	err = p.reader.QueryRow(ctx, `SELECT word, ndoc FROM vocabulary WHERE word ~ '^[a-z]{3,}$' AND word % $1
		ORDER BY levenshtein(word, $1), ndoc DESC LIMIT 1`, *token).Scan(&a.taken, &having)
	if errors.Is(err, pgx.ErrNoRows) {
		return 0, nil
	}
	*token = a.taken
	return having, err
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
		c.add("ST_DWithin(spot, " + c.point(q.from) + ", " + c.arg(1_000*q.withinKm) + ", false)")
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

// manyRanked is from how many lots on it is quicker to count apart: to count
// along while ranking, PostgreSQL keeps all that it has found.
const manyRanked = 50_000

// ranked finds the page, and the total with it unless there may be many: to rank,
// all that is found is read anyway.
func (p *postgres) ranked(ctx context.Context, q *question, many bool, a *answer) error {
	c, words := p.what(q)
	total := "count(*) OVER ()"
	if p.bare || many {
		total = "0::bigint"
	}
	sql := `WITH found AS (SELECT id, ts_rank(words, ` + words + `) AS rank, ` + total + ` AS total FROM lots` + c.where() +
		` ORDER BY rank DESC, id DESC LIMIT ` + c.arg(q.limit) + `)
		SELECT total, name, wire FROM found JOIN bodies USING (id) ORDER BY rank DESC, id DESC`
	if err := p.hits(ctx, sql, c.args, a); err != nil || !many {
		return err
	}
	return p.count(ctx, q, a)
}

// page finds the page alone.
func (p *postgres) page(ctx context.Context, q *question, a *answer) error {
	c, _ := p.what(q)
	by, far := "id DESC", "0::float8"
	if q.order == byDistance {
		// Ties stay as they come: PostgreSQL would leave its index for them.
		by, far = "far", "spot <-> "+c.point(q.from)
	}
	sql := `WITH found AS (SELECT id, ` + far + ` AS far FROM lots` + c.where() + ` ORDER BY ` + by + ` LIMIT ` + c.arg(q.limit) + `)
		SELECT 0::bigint, name, wire FROM found JOIN bodies USING (id) ORDER BY ` + by
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
	_, err = pgx.ForEachRow(rows, []any{&total, &name, &wire}, func() error {
		a.names, a.total = append(a.names, name), int(total)
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

// spread counts what passes all but the distance, town by town.
func (p *postgres) spread(ctx context.Context, q *question) (map[int]int, error) {
	anywhere := *q
	anywhere.withinKm = 0
	c, _ := p.what(&anywhere)
	rows, err := p.reader.Query(ctx, `SELECT town, count(*) FROM lots`+c.where()+` GROUP BY 1`, c.args...)
	if err != nil {
		return nil, err
	}
	lots := map[int]int{}
	var town, count int
	_, err = pgx.ForEachRow(rows, []any{&town, &count}, func() error {
		lots[town] = count
		return nil
	})
	return lots, err
}
