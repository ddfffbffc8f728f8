package search

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/ext/fts5"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// judgedLot is a line of testdata/relevance/lots.jsonl; its README tells what
// each field is.
type judgedLot struct {
	ID, What, Title, Make, Model, Size, Drive, Description, Town, Weight, Price string
}

// judgedQuery is a line of testdata/relevance/queries.jsonl.
type judgedQuery struct {
	Habit, Query string
	Grades       map[string]int
}

// readJudged reads one file of the relevance set.
func readJudged[T any](t *testing.T, file string) []T {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "relevance", file))
	if err != nil {
		t.Fatal(err)
	}
	var all []T
	for decoder := json.NewDecoder(bytes.NewReader(text)); decoder.More(); {
		var one T
		if err := decoder.Decode(&one); err != nil {
			t.Fatalf("%s, line %d: %v", file, len(all)+1, err)
		}
		all = append(all, one)
	}
	return all
}

// lot is the line as a keeper's sheet would have made it, posted as number n.
func (l judgedLot) lot(t *testing.T, n int) *pb.Lot {
	t.Helper()
	lot := &pb.Lot{
		Name: "shops/" + l.ID[:1] + "/lots/" + l.ID, Tag: strings.ToUpper(l.ID), Title: l.Title, Make: l.Make, Model: l.Model,
		SizeAsWritten: l.Size, Description: l.Description, State: pb.LotState_LOT_STATE_OFFERED, Revision: uint64(n + 1),
	}
	var err, errKind error
	if lot.Class, err = trade.ParseClass(l.What); err != nil || trade.ClassWord(lot.Class) != l.What {
		lot.Class = 0
		lot.Kind, errKind = trade.ParseKind(l.What)
	}
	_ = trade.FillDetail(lot) // A size that says little stays as written.
	if l.Drive != "" && lot.GetPress() != nil {
		lot.GetPress().Drive = pb.Drive(pb.Drive_value["DRIVE_"+strings.ToUpper(strings.ReplaceAll(l.Drive, " ", "_"))])
	}
	town, errTown := place.Find(l.Town)
	lot.Town = &pb.Town{Point: &pb.Point{Latitude: town.Point.Lat, Longitude: town.Point.Lng}, Region: town.Region, CountryCode: town.Country, Name: town.Name}
	if l.Town == "" {
		lot.Town, errTown = nil, nil
	}
	for _, err := range []error{errKind, errTown, l.weigh(lot), l.appraise(lot)} {
		if err != nil {
			t.Fatalf("%s: %v", l.ID, err)
		}
	}
	return lot
}

func (l judgedLot) weigh(lot *pb.Lot) (err error) {
	if l.Weight != "" {
		lot.Weight, err = trade.ParseWeight(l.Weight)
	}
	return err
}

func (l judgedLot) appraise(lot *pb.Lot) (err error) {
	if l.Price != "" {
		lot.Price, err = trade.ParseMoney(l.Price, "USD")
	}
	return err
}

// text is all that the line says, for a search that knows nothing of the trade.
func (l judgedLot) text() string {
	return strings.Join([]string{l.Title, l.What, l.Make, l.Model, l.Size, l.Drive, l.Description, l.Town}, " ")
}

// engine answers a query with at most 20 lots, best first, by ID.
type engine func(t *testing.T, query string) []string

// ours is an index of the lots, asked as the command line asks.
func ours(t *testing.T, lots []judgedLot) engine {
	x := openIndex(t, t.TempDir())
	var all []*pb.Lot
	for i, l := range lots {
		all = append(all, l.lot(t, i))
	}
	if err := x.Apply(context.Background(), uint64(len(all)), all, nil); err != nil {
		t.Fatal(err)
	}
	return func(t *testing.T, query string) []string {
		understood := Understand(&pb.LotFilter{Words: query})
		filter := understood.Filter
		if near := filter.GetNear(); near != nil {
			town, err := place.Find(near.GetPlace())
			if err != nil {
				t.Fatalf("%q: %v", query, err)
			}
			near.Point = &pb.Point{Latitude: town.Point.Lat, Longitude: town.Point.Lng}
		}
		var err error
		if filter.Words, _, err = x.Mend(context.Background(), filter.GetWords()); err != nil {
			t.Fatalf("%q: %v", query, err)
		}
		result, err := x.Search(context.Background(), Query{Filter: filter, Order: understood.Order, Limit: 20})
		if err != nil {
			t.Fatalf("%q: %v", query, err)
		}
		var ids []string
		for _, hit := range result.Hits {
			ids = append(ids, hit.Name[strings.LastIndex(hit.Name, "/")+1:])
		}
		return ids
	}
}

// plainBM25 is the full text search of SQLite over the same lots: any of the
// words, English endings taken off, ranked by its BM25.
func plainBM25(t *testing.T, lots []judgedLot) engine {
	db, err := sqlite3.Open(":memory:")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	if err := fts5.Register(db); err != nil {
		t.Fatal(err)
	}
	if err := db.Exec(`CREATE VIRTUAL TABLE lots USING fts5(id UNINDEXED, text, tokenize = 'porter unicode61')`); err != nil {
		t.Fatal(err)
	}
	for _, l := range lots {
		rows(t, db, `INSERT INTO lots (id, text) VALUES (?, ?)`, l.ID, l.text())
	}
	return func(t *testing.T, query string) []string {
		var any []string
		for word := range strings.FieldsSeq(query) {
			any = append(any, `"`+strings.ReplaceAll(word, `"`, `""`)+`"`)
		}
		return rows(t, db, `SELECT id FROM lots WHERE lots MATCH ? ORDER BY rank LIMIT 20`, strings.Join(any, " OR "))
	}
}

// rows runs a statement, and lists what its first column has.
func rows(t *testing.T, db *sqlite3.Conn, sql string, values ...string) []string {
	t.Helper()
	statement, _, err := db.Prepare(sql)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = statement.Close() }()
	for i, value := range values {
		if err := statement.BindText(i+1, value); err != nil {
			t.Fatal(err)
		}
	}
	var first []string
	for statement.Step() {
		first = append(first, statement.ColumnText(0))
	}
	if err := statement.Err(); err != nil {
		t.Fatalf("%s %v: %v", sql, values, err)
	}
	return first
}

// ndcg is the normalised discounted cumulative gain of the first ten: 2^grade-1
// for each, over log2 of its rank plus 1, as a share of the best there can be.
func ndcg(ids []string, grades map[string]int) float64 {
	var got, best []float64
	for _, id := range ids {
		got = append(got, math.Exp2(float64(grades[id]))-1)
	}
	for _, grade := range grades {
		best = append(best, math.Exp2(float64(grade))-1)
	}
	slices.SortFunc(best, func(a, b float64) int { return int(b - a) })
	return discounted(got) / discounted(best)
}

func discounted(gains []float64) (sum float64) {
	for i, gain := range gains[:min(10, len(gains))] {
		sum += gain / math.Log2(float64(i+2))
	}
	return sum
}

// recall is the share of the relevant lots among the first twenty, of as many
// as there is room for.
func recall(ids []string, grades map[string]int) float64 {
	found := 0
	for _, id := range ids {
		if grades[id] > 0 {
			found++
		}
	}
	return float64(found) / float64(min(20, len(grades)))
}

// sum is what an engine reached over some queries.
type sum struct {
	queries      int
	ndcg, recall float64
}

func (s *sum) add(ids []string, grades map[string]int) {
	s.queries++
	s.ndcg += ndcg(ids, grades)
	s.recall += recall(ids, grades)
}

func (s sum) String() string {
	n := float64(s.queries)
	return fmt.Sprintf("%.3f %.3f", s.ndcg/n, s.recall/n)
}

// Floors of nDCG@10 that the search must keep.
const (
	floorOverall = 0.95
	floorHabit   = 0.85
)

// Over the relevance set, however things are typed, the right lots come first.
// The report stands the same lots and queries on a plain BM25 beside it.
func TestRelevance(t *testing.T) {
	lots := readJudged[judgedLot](t, "lots.jsonl")
	queries := readJudged[judgedQuery](t, "queries.jsonl")
	mine, plain := ours(t, lots), plainBM25(t, lots)
	habits := []string{}
	sums := map[string]*[2]sum{"all": {}}
	for _, q := range queries {
		if sums[q.Habit] == nil {
			habits, sums[q.Habit] = append(habits, q.Habit), &[2]sum{}
		}
		found := mine(t, q.Query)
		for _, s := range []*[2]sum{sums[q.Habit], sums["all"]} {
			s[0].add(found, q.Grades)
			s[1].add(plain(t, q.Query), q.Grades)
		}
		if n := ndcg(found, q.Grades); n < floorHabit {
			t.Logf("%.3f %s: %q found %v", n, q.Habit, q.Query, found)
		}
	}
	t.Logf("%-14s %7s  nDCG@10 recall@20, beside plain BM25", "habit", "queries")
	for _, habit := range append(habits, "all") {
		s := sums[habit]
		t.Logf("%-14s %7d  %v  %v", habit, s[0].queries, s[0], s[1])
		floor := floorHabit
		if habit == "all" {
			floor = floorOverall
		}
		if got := s[0].ndcg / float64(s[0].queries); got < floor {
			t.Errorf("%s: nDCG@10 is %.3f, below %v", habit, got, floor)
		}
	}
}
