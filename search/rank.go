package search

import (
	"sync"

	"github.com/RoaringBitmap/roaring/v2"
)

// mark fills in how well each found document, of those listed, matches the words
// and hints.
func (s *scope) mark(f *Filter, rare *rarities) {
	m := newMarks(s)
	defer m.release()
	for i, word := range s.words {
		for l, docs := range word.at {
			if docs != nil {
				m.add(docs, rare.words[i]*level(l).worth())
			}
		}
	}
	for i, h := range f.hints {
		m.add(s.hints[i], rare.hints[i]*h.worth)
	}
	s.scores = m.scores()
}

// marks adds up scores. Where many documents were found, it keeps a score for
// every document of the segment, and gives them to some for nothing; where few,
// for the found ones alone.
type marks struct {
	scope *scope
	dense *[]float64 // by document number; nil where few were found
	few   []float64  // beside the scope's docs
}

// sparse is how many times more documents than found ones a segment has where
// a score for each is too dear.
const sparse = 32

var denseMarks sync.Pool

func newMarks(s *scope) *marks {
	m := &marks{scope: s}
	size := int(s.segment.Segment().Count())
	if len(s.docs) < size/sparse {
		m.few = make([]float64, len(s.docs))
		return m
	}
	m.dense, _ = denseMarks.Get().(*[]float64)
	if m.dense == nil || cap(*m.dense) < size {
		m.dense = new([]float64)
		*m.dense = make([]float64, size)
	}
	*m.dense = (*m.dense)[:size]
	clear(*m.dense)
	return m
}

func (m *marks) release() {
	if m.dense != nil {
		denseMarks.Put(m.dense)
	}
}

// add adds to the score of every found document among docs.
func (m *marks) add(docs *roaring.Bitmap, worth float64) {
	if m.dense == nil {
		m.addFew(docs, worth)
		return
	}
	if docs.GetCardinality() > 2*uint64(len(m.scope.docs)) {
		docs = roaring.And(docs, m.scope.bitmap())
	}
	all := *m.dense
	eachDoc(docs, func(doc uint32) { all[doc] += worth })
}

func (m *marks) addFew(docs *roaring.Bitmap, worth float64) {
	i := 0
	eachDoc(roaring.And(docs, m.scope.bitmap()), func(doc uint32) {
		for m.scope.docs[i] != doc {
			i++
		}
		m.few[i] += worth
	})
}

// scores are the scores beside the scope's docs.
func (m *marks) scores() []float64 {
	if m.dense == nil {
		return m.few
	}
	all := *m.dense
	scores := make([]float64, len(m.scope.docs))
	for i, doc := range m.scope.docs {
		scores[i] = all[doc]
	}
	return scores
}

// best puts a scope's documents on a page of its own.
func (r *run) best(s *scope, p *page) {
	switch {
	case r.ranked == byScore:
		r.bestScored(s, p)
	case r.walked != nil:
		r.bestWalked(s, p)
	case r.looks():
		r.bestNear(s, p)
	case r.ranked == byDistance:
		for _, doc := range s.docs {
			r.offer(p, s, doc, -r.survey.roadKm(s.towns.of[doc]))
		}
	default:
		r.bestNew(s, p)
	}
}

// bestScored goes from the last to the first: the last are most often those
// posted last, so that what follows them need not be moved in.
func (r *run) bestScored(s *scope, p *page) {
	for i := len(s.docs) - 1; i >= 0; i-- {
		if score := s.scores[i]; score >= p.floor {
			r.offer(p, s, s.docs[i], score)
		}
	}
}

// bestWalked goes through the towns that hold the page.
func (r *run) bestWalked(s *scope, p *page) {
	for _, town := range r.walked {
		if key := -r.survey.roadKm(town); key >= p.floor {
			s.eachIn(town, func(doc uint32) { r.offer(p, s, doc, key) })
		}
	}
}

// bestNear passes over towns that have been found to be beyond the page.
func (r *run) bestNear(s *scope, p *page) {
	for _, doc := range s.docs {
		if town := s.towns.of[doc]; r.survey.isMeasured(town) {
			if key := -r.survey.roadKm(town); key >= p.floor {
				r.offer(p, s, doc, key)
			}
		}
	}
}

// bestNew goes from the last to the first, and stops where all that are left
// were posted before the last on the page.
func (r *run) bestNew(s *scope, p *page) {
	for i := len(s.docs) - 1; i >= 0; i-- {
		doc := s.docs[i]
		if s.posted.latestTo(doc) < p.latest {
			return
		}
		if s.posted.of[doc] >= p.latest {
			r.offer(p, s, doc, 0)
		}
	}
}

// offer puts a document on a page, if it belongs there.
func (r *run) offer(p *page, s *scope, doc uint32, key float64) {
	c := candidate{key: key, posted: s.posted.of[doc], scope: s, doc: doc}
	if r.ranked == byScore && r.filter.near != nil {
		c.near = -r.survey.roadKm(s.towns.of[doc])
	}
	p.offer(c)
}
