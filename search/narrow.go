package search

import (
	"github.com/RoaringBitmap/roaring/v2"

	"heirpress/search/trade"
)

// survey is what a search learns as it goes: how far each town is, which is
// measured once, however many lots stand there.
type survey struct {
	filter  *Filter
	reaches map[string]reach
}

// reach measures the way to a town.
func (v *survey) reach(town string) reach {
	r, ok := v.reaches[town]
	if !ok {
		r = v.filter.reach(town)
		v.reaches[town] = r
	}
	return r
}

// test is a question put to a column of one segment; each different value is
// judged once, when the first document that has it comes along.
type test struct {
	values *values
	judge  func(written string) bool
	passes []int8 // 0 not judged, 1 passes, -1 does not
}

func newTest(v *values, judge func(string) bool) test {
	return test{values: v, judge: judge, passes: make([]int8, len(v.different))}
}

func (t *test) ok(doc uint32) bool {
	which := t.values.of[doc]
	if t.passes[which] == 0 {
		t.passes[which] = -1
		if t.judge(t.values.different[which]) {
			t.passes[which] = 1
		}
	}
	return t.passes[which] > 0
}

// narrow keeps of the documents found by bitmap those that pass all the rest:
// weight, price, sheet and the road.
func (s *scope) narrow(g *generation, v *survey) error {
	tests, err := s.tests(g, v)
	if err != nil {
		return err
	}
	s.docs = s.found.ToArray()
	if len(tests) == 0 {
		return nil
	}
	kept := s.docs[:0]
	for _, doc := range s.docs {
		if passesAll(tests, doc) {
			kept = append(kept, doc)
		}
	}
	s.docs = kept
	s.found = roaring.BitmapOf(kept...)
	return nil
}

func passesAll(tests []test, doc uint32) bool {
	for i := range tests {
		if !tests[i].ok(doc) {
			return false
		}
	}
	return true
}

// tests lists the questions that columns answer.
func (s *scope) tests(g *generation, v *survey) ([]test, error) {
	var tests []test
	for _, a := range v.filter.asks {
		column, err := g.columns.valuesOf(s.segment, a.column)
		if err != nil {
			return nil, err
		}
		tests = append(tests, newTest(column, func(written string) bool {
			answer := a.judge(written)
			return answer == trade.Yes || (answer == trade.Unknown && !v.filter.knownOnly)
		}))
	}
	if v.filter.withinKm > 0 {
		towns, err := g.columns.valuesOf(s.segment, columnTown)
		if err != nil {
			return nil, err
		}
		tests = append(tests, newTest(towns, func(town string) bool { return v.reach(town).within }))
	}
	return tests, nil
}
