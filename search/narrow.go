package search

import (
	"slices"
	"sort"

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
	t := test{values: v, judge: judge, passes: make([]int8, len(v.different))}
	if v.rising {
		t.judgeAll()
	}
	return t
}

// judgeAll judges rising values: by a few of them, all.
func (t *test) judgeAll() {
	t.judged(0)
	known := t.values.different[1:]
	passing := sort.Search(len(known), func(i int) bool { return !t.judge(known[i]) })
	for i := range known {
		t.passes[1+i] = -1
		if i < passing {
			t.passes[1+i] = 1
		}
	}
}

// keep keeps of a list of documents those that pass, in its place.
func (t *test) keep(docs []uint32) []uint32 {
	of, passes, kept := t.values.of, t.passes, 0
	for _, doc := range docs {
		which := of[doc]
		verdict := passes[which]
		if verdict == 0 {
			verdict = t.judged(which)
		}
		docs[kept] = doc
		if verdict > 0 {
			kept++
		}
	}
	return docs[:kept]
}

// judged judges one of the different values.
func (t *test) judged(which uint32) int8 {
	t.passes[which] = -1
	if t.judge(t.values.different[which]) {
		t.passes[which] = 1
	}
	return t.passes[which]
}

// narrow keeps of the documents found by bitmap those that pass all the rest:
// weight, price, sheet and the road.
func (s *scope) narrow(g *generation, v *survey) error {
	tests, err := s.tests(g, v.filter)
	if err != nil || (len(tests) == 0 && v.filter.withinKm == 0) {
		return err
	}
	s.list()
	for _, test := range tests {
		s.docs = test.keep(s.docs)
	}
	if v.filter.withinKm > 0 {
		s.docs = slices.DeleteFunc(s.docs, func(doc uint32) bool { return !s.isWithin(v, doc) })
	}
	s.found = nil // Made again where it is asked for.
	return nil
}

// isWithin tells whether a document's town is within reach by road.
func (s *scope) isWithin(v *survey, doc uint32) bool {
	limit := v.filter.withinKm
	return limit == 0 || v.filter.near != nil && v.reaches(s.towns.of[doc])
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
