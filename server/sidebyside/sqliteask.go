package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/ncruces/go-sqlite3"

	pb "heirpress/proto/heirpress/v1"
)

// clauses is the conditions of a statement, and what is bound to them.
type clauses struct {
	conditions []string
	args       []any
}

func (c *clauses) add(condition string, args ...any) {
	c.conditions = append(c.conditions, condition)
	c.args = append(c.args, args...)
}

func (c *clauses) where() string { return " WHERE " + strings.Join(c.conditions, " AND ") }

// oneOf is the condition that a column has one of some values.
func (c *clauses) oneOf(column string, values []int) {
	if len(values) == 0 {
		return
	}
	marks := strings.TrimSuffix(strings.Repeat("?,", len(values)), ",")
	var args []any
	for _, v := range values {
		args = append(args, v)
	}
	c.add(column+" IN ("+marks+")", args...)
}

func (s *sqlite) ask(_ context.Context, r *pb.SearchLotsRequest) (*answer, error) {
	q, err := questionOf(r)
	if err != nil {
		return nil, err
	}
	a := new(answer)
	if err := s.correct(q, a); err != nil {
		return nil, err
	}
	if err := s.count(q, a); err != nil {
		return nil, err
	}
	ids, err := s.page(q)
	if err != nil {
		return nil, err
	}
	return a, s.bodies(ids, a)
}

// bodies reads the lots of the page.
func (s *sqlite) bodies(ids []int64, a *answer) error {
	for _, id := range ids {
		err := s.reader.rows(`SELECT name, wire FROM bodies WHERE id = ?`, []any{id}, func(row *sqlite3.Stmt) {
			a.names = append(a.names, row.ColumnText(0))
			a.bytes += len(row.ColumnBlob(1, nil))
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// correct takes a word that no lot has for the likest that one has.
func (s *sqlite) correct(q *question, a *answer) error {
	for i, token := range q.tokens {
		known, err := s.reader.number(`SELECT count(*) FROM spoken WHERE term = ?`, token)
		if err != nil {
			return err
		}
		if known > 0 {
			continue
		}
		err = s.reader.rows(`SELECT word FROM slips WHERE word MATCH ? AND top = 1`, []any{token}, func(row *sqlite3.Stmt) {
			a.taken = row.ColumnText(0)
			q.tokens[i] = a.taken
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// what is the conditions of a question, but for where; the tables are lots l
// and, for words, words w.
func (s *sqlite) what(q *question) *clauses {
	c := new(clauses)
	if q.hasWords() {
		c.add("w.words MATCH ?", match(q))
	}
	c.oneOf("l.state", q.states)
	c.oneOf("l.kind", q.kinds)
	if q.sheet != nil {
		long, short := sidesOf(q.sheet)
		c.add("l.prints AND (l.print_long IS NULL OR l.print_long >= ? AND l.print_short >= ?)", long-slackMm, short-slackMm)
	}
	if q.mostKg > 0 {
		c.add("(l.least_kg IS NULL OR l.least_kg <= ?)", q.mostKg)
	}
	return c
}

// match writes words as FTS5 wants them.
func match(q *question) string {
	var all []string
	for _, token := range q.tokens {
		all = append(all, `"`+token+`"`)
	}
	switch {
	case q.whole != "":
		all = append(all, `("`+q.beginning+`"* OR "`+q.whole+`")`)
	case q.beginning != "":
		all = append(all, `"`+q.beginning+`"*`)
	}
	return strings.Join(all, " AND ")
}

// within adds the condition that a lot is no further off.
func within(c *clauses, q *question, km float64) {
	x, y, z := unit(*q.from)
	c.add("l.x*?+l.y*?+l.z*? >= ?", x, y, z, cosine(km))
}

// tables is where the lots of a question are found; words come first.
func tables(q *question) string {
	if q.hasWords() {
		return " FROM words w CROSS JOIN lots l ON l.id = w.rowid"
	}
	return " FROM lots l"
}

// count counts what was found, by what it is if that is asked.
func (s *sqlite) count(q *question, a *answer) error {
	c := s.what(q)
	if q.withinKm > 0 {
		within(c, q, q.withinKm)
	}
	if !q.facets {
		n, err := s.reader.number(`SELECT count(*)`+tables(q)+c.where(), c.args...)
		a.total = int(n)
		return err
	}
	counts := sorts{}
	a.facets = counts
	sql := `SELECT l.kind, l.class, l.region, count(*)` + tables(q) + c.where() + ` GROUP BY 1, 2, 3`
	return s.reader.rows(sql, c.args, func(row *sqlite3.Stmt) {
		counts.add(row.ColumnInt(0), row.ColumnInt(1), row.ColumnInt(2), row.ColumnInt(3))
		a.total += row.ColumnInt(3)
	})
}

// page finds the ids of the page.
func (s *sqlite) page(q *question) ([]int64, error) {
	if q.order == byDistance {
		return s.nearest(q)
	}
	c := s.what(q)
	if q.withinKm > 0 {
		within(c, q, q.withinKm)
	}
	order := " ORDER BY l.id DESC"
	if q.order == byRank {
		order = " ORDER BY w.rank"
	}
	return s.found(`SELECT l.id`+tables(q)+c.where()+order+` LIMIT ?`, append(c.args, q.limit))
}

func (s *sqlite) found(sql string, args []any) (ids []int64, err error) {
	err = s.reader.rows(sql, args, func(row *sqlite3.Stmt) { ids = append(ids, row.ColumnInt64(0)) })
	return ids, err
}

// The nearest are looked for in a box, and in larger ones until there are
// enough. An R*Tree knows no nearest.
const (
	firstKm = 25
	lastKm  = 20_100 // half round the Earth
)

func (s *sqlite) nearest(q *question) ([]int64, error) {
	if q.hasWords() || q.withinKm > 0 {
		return nil, fmt.Errorf("SQLite is not asked for the nearest of some words")
	}
	for km := float64(firstKm); ; km *= 2 {
		c := s.what(q)
		within(c, q, km)
		south, north, west, east := box(*q.from, km)
		c.add("p.south >= ? AND p.north <= ? AND p.west >= ? AND p.east <= ?", south, north, west, east)
		x, y, z := unit(*q.from)
		ids, err := s.found(`SELECT l.id, l.x*?+l.y*?+l.z*? AS cosine FROM places p CROSS JOIN lots l ON l.id = p.id`+c.where()+
			` ORDER BY cosine DESC, l.id DESC LIMIT ?`, slices.Concat([]any{x, y, z}, c.args, []any{q.limit}))
		if err != nil || len(ids) >= q.limit || km >= lastKm {
			return ids, err
		}
	}
}

// spread counts what passes all but the distance, town by town.
func (s *sqlite) spread(_ context.Context, q *question) (map[int]int, error) {
	c := s.what(q)
	lots := map[int]int{}
	err := s.reader.rows(`SELECT l.town, count(*)`+tables(q)+c.where()+` GROUP BY 1`, c.args, func(row *sqlite3.Stmt) {
		lots[row.ColumnInt(0)] = row.ColumnInt(1)
	})
	return lots, err
}
