package search

import (
	"cmp"
	"context"
	"math"
	"slices"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// truth answers queries by looking at every lot: what an Index must equal.
type truth struct {
	lots  map[string]*pb.Lot
	facts map[string]*Facts
	// levels are the levels of each lot's words, once asked.
	levels map[*Facts]map[string]level
}

func newTruth() truth {
	return truth{map[string]*pb.Lot{}, map[string]*Facts{}, map[*Facts]map[string]level{}}
}

// levelsOf are the levels of a lot's words.
func (t truth) levelsOf(lot *Facts) map[string]level {
	if t.levels[lot] == nil {
		t.levels[lot] = levelsOf(lot.texts)
	}
	return t.levels[lot]
}

func (t truth) put(lot *pb.Lot) {
	t.lots[lot.Name], t.facts[lot.Name] = lot, Read(lot)
}

func (t truth) remove(name string) {
	delete(t.lots, name)
	delete(t.facts, name)
}

// standing is a lot of the truth as a query sees it.
type standing struct {
	facts   *Facts
	unknown []string
	key     float64
	near    float64
	posted  uint64
}

// search lists what a query finds, in order.
func (t truth) search(f *pb.LotFilter, order pb.LotOrder) []standing {
	filter := Compile(f)
	var found []standing
	for name, lot := range t.lots {
		if ok, unknown := Matches(f, lot); ok {
			facts := t.facts[name]
			found = append(found, standing{facts, unknown, t.key(filter, order, facts), t.near(filter, order, facts), posted(lot)})
		}
	}
	slices.SortFunc(found, func(a, b standing) int {
		return cmp.Or(cmp.Compare(b.key, a.key), cmp.Compare(b.near, a.near), cmp.Compare(b.posted, a.posted), cmp.Compare(a.facts.name, b.facts.name))
	})
	return found
}

func (t truth) key(f *Filter, order pb.LotOrder, lot *Facts) float64 {
	switch rankingOf(order, f) {
	case byScore:
		return t.score(f, lot)
	case byDistance:
		return nearness(f, lot)
	}
	return 0
}

// near tells apart lots of one score, where there is a place.
func (t truth) near(f *Filter, order pb.LotOrder, lot *Facts) float64 {
	if rankingOf(order, f) == byScore && f.near != nil {
		return nearness(f, lot)
	}
	return 0
}

func nearness(f *Filter, lot *Facts) float64 {
	if road := f.reach(lot.columns[columnTown]).road; road != nil {
		return -road.Km
	}
	return math.Inf(-1)
}

// score adds up what the words, beginnings and hints of a filter are worth in a
// lot.
func (t truth) score(f *Filter, lot *Facts) float64 {
	var score float64
	for _, word := range f.words {
		score += t.share(lot, func(l *Facts) float64 { return t.levelsOf(l)[word].worth() })
	}
	for _, b := range f.beginnings {
		score += t.share(lot, func(l *Facts) float64 { return highest(b, t.levelsOf(l)).worth() })
	}
	for _, h := range f.hints {
		score += t.share(lot, func(l *Facts) float64 {
			if h.field == kinField && slices.Contains(l.texts[groupKin], h.term) || h.field == pairsField && slices.Contains(pairsOf(l.texts), h.term) {
				return h.worth
			}
			return 0
		})
	}
	return score
}

// highest is the level of the weightiest word of a lot that begins so.
func highest(b beginning, words map[string]level) (top level) {
	for word, l := range words {
		if b.covers(word) {
			top = max(top, l)
		}
	}
	return top
}

// share is what a term adds to a lot's score: what it is worth there, by how
// rare it is.
func (t truth) share(lot *Facts, worth func(*Facts) float64) float64 {
	var having uint64
	for _, other := range t.facts {
		if worth(other) > 0 {
			having++
		}
	}
	return rarity(having, uint64(len(t.lots))) * worth(lot)
}

// pages reads a whole answer, page by page, and holds each page against the
// answer as a whole.
func pages(t *testing.T, x *Index, q Query) []Hit {
	t.Helper()
	var hits []Hit
	for {
		result, err := x.Search(context.Background(), q)
		if err != nil {
			t.Fatalf("search: %v", err)
		}
		if len(result.Hits) > q.Limit {
			t.Fatalf("a page of %d hits has %d", q.Limit, len(result.Hits))
		}
		hits = append(hits, result.Hits...)
		if result.More != (len(hits) < result.Total) {
			t.Fatalf("More is %v after %d of %d hits", result.More, len(hits), result.Total)
		}
		if !result.More {
			return hits
		}
		last := result.Hits[len(result.Hits)-1].Position
		if q.After, err = ParsePosition(last.Bytes()); err != nil {
			t.Fatal(err)
		}
	}
}

// agree holds an index against the truth for one query, page by page.
func agree(t *testing.T, x *Index, all truth, f *pb.LotFilter, order pb.LotOrder, limit int) {
	t.Helper()
	want := all.search(f, order)
	got := pages(t, x, Query{Filter: f, Order: order, Limit: limit})
	if len(got) != len(want) {
		t.Fatalf("%v by %v: found %d lots, not %d", f, order, len(got), len(want))
	}
	filter := Compile(f)
	for i, hit := range got {
		w := want[i]
		if hit.Name != w.facts.name {
			t.Fatalf("%v by %v: hit %d is %s, not %s", f, order, i, hit.Name, w.facts.name)
		}
		if !slices.Equal(hit.Unknown, w.unknown) {
			t.Fatalf("%v: %s leaves out %v, not %v", f, hit.Name, hit.Unknown, w.unknown)
		}
		if score := all.score(filter, w.facts); hit.Score != score {
			t.Fatalf("%v: %s has score %v, not %v", f, hit.Name, hit.Score, score)
		}
		way := filter.reach(w.facts.columns[columnTown])
		if (hit.Road == nil) != (way.road == nil) || (hit.Road != nil && *hit.Road != *way.road) || hit.StraightKm != way.straightKm {
			t.Fatalf("%v: the way to %s is %v, %v km, not %v, %v km", f, hit.Name, hit.Road, hit.StraightKm, way.road, way.straightKm)
		}
	}
}

// openIndex opens an index that is closed when the test ends.
func openIndex(t testing.TB, dir string) *Index {
	t.Helper()
	x, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := x.Close(); err != nil {
			t.Errorf("close: %v", err)
		}
	})
	return x
}
