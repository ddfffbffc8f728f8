package search

import (
	"slices"

	"heirpress/search/trade"
)

// test is a question put to a column of one segment; each different value is
// judged once, when the first document that has it comes along.
type test struct {
	values *values
	judge  func(fact) bool
	passes []int8 // 0 not judged, 1 passes, -1 does not
}

func newTest(v *values, judge func(fact) bool) test {
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
	tests, err := s.tests(g, v.filter)
	if err != nil || (len(tests) == 0 && v.filter.withinKm == 0) {
		return err
	}
	s.list()
	kept := s.docs[:0]
	for _, doc := range s.docs {
		if passesAll(tests, doc) && s.isWithin(v, doc) {
			kept = append(kept, doc)
		}
	}
	s.docs = kept
	s.found.Clear()
	s.found.AddMany(kept)
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

// isWithin tells whether a document's town is within reach by road.
func (s *scope) isWithin(v *survey, doc uint32) bool {
	limit := v.filter.withinKm
	return limit == 0 || v.filter.near != nil && v.roadKm(s.towns[doc]) <= limit
}

// tests lists the questions that columns answer, that about the sheet first: it
// shuts out the most.
func (s *scope) tests(g *generation, f *Filter) ([]test, error) {
	var tests []test
	for _, a := range slices.Backward(f.asks) {
		column, err := g.columns.valuesOf(s.segment, a.column)
		if err != nil {
			return nil, err
		}
		tests = append(tests, newTest(column, func(says fact) bool {
			answer := a.judge(says)
			return answer == trade.Yes || (answer == trade.Unknown && !f.knownOnly)
		}))
	}
	return tests, nil
}
