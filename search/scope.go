package search

import (
	"slices"

	"github.com/RoaringBitmap/roaring/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"

	pb "heirpress/proto/heirpress/v1"
)

// scope is one segment of the index within one search: first which documents
// may match, by bitmap, then which do.
type scope struct {
	segment *scorch.SegmentSnapshot
	// words are the words and beginnings of the filter, each with the documents
	// that have it, deleted ones included.
	words []*levelled
	// hints has for each hint the documents that have it.
	hints []*roaring.Bitmap
	// found are the documents that pass, and docs lists them in order: each is made
	// of the other when it is asked for.
	found *roaring.Bitmap
	docs  []uint32

	towns  []uint32 // of every document, by its number
	posted *postedColumn
	scores []float64 // beside docs, where the order asks for it
}

// lookUp finds the documents that pass all that bitmaps can tell: words, kinds,
// classes, states, shop and the cells of the disc.
func (s *scope) lookUp(f *Filter, cells []string) error {
	if err := s.lookUpWords(f); err != nil {
		return err
	}
	var all []*roaring.Bitmap
	for _, word := range s.words {
		all = append(all, word.any)
	}
	for _, terms := range slices.Concat(pairTerms(f.pairs), isTermsOf(f, cells)) {
		any, err := s.anyOf(terms)
		if err != nil {
			return err
		}
		all = append(all, any)
	}
	s.found = roaring.FastAnd(all...)
	if deleted := s.segment.Deleted(); deleted != nil {
		s.found = roaring.AndNot(s.found, deleted)
	}
	return nil
}

func (s *scope) lookUpWords(f *Filter) error {
	for _, word := range f.words {
		having, err := levelsOfWord(s.segment.Segment(), word)
		if err != nil {
			return err
		}
		s.words = append(s.words, having)
	}
	for _, b := range f.beginnings {
		having, err := levelsOfBeginning(s.segment.Segment(), b)
		if err != nil {
			return err
		}
		s.words = append(s.words, having)
	}
	return nil
}

// lookUpHints finds the documents that have each hint.
func (s *scope) lookUpHints(hints []hint) error {
	for _, h := range hints {
		docs, err := having(s.segment, fieldTerm{h.field, h.term})
		if err != nil {
			return err
		}
		s.hints = append(s.hints, docs)
	}
	return nil
}

// isTermsOf lists, for each thing a filter asks of what a lot is, the terms any
// of which will do.
func isTermsOf(f *Filter, cells []string) [][]fieldTerm {
	lists := [][]fieldTerm{isAny(f.states, stateTerm), isAny(f.kinds, kindTerm), isAny(f.classes, classTerm), isAny(f.regions, regionTerm), isAny(cells, cellTerm)}
	if slices.ContainsFunc(f.asks, func(a ask) bool { return a.column == columnPress }) {
		lists = append(lists, isAny([]pb.Kind{pb.Kind_KIND_PRESS}, kindTerm)) // Nothing else prints.
	}
	if f.shop != "" {
		lists = append(lists, isAny([]string{f.shop}, shopTerm))
	}
	return slices.DeleteFunc(lists, func(terms []fieldTerm) bool { return len(terms) == 0 })
}

func isAny[T any](values []T, term func(T) string) []fieldTerm {
	var terms []fieldTerm
	for _, value := range values {
		terms = append(terms, fieldTerm{isField, term(value)})
	}
	return terms
}

// anyOf finds the documents that have any of the terms.
func (s *scope) anyOf(terms []fieldTerm) (*roaring.Bitmap, error) {
	var any []*roaring.Bitmap
	for _, t := range terms {
		docs, err := having(s.segment, t)
		if err != nil {
			return nil, err
		}
		any = append(any, docs)
	}
	return union(any), nil
}

// live tells how many documents of a bitmap are not deleted.
func (s *scope) live(bitmap *roaring.Bitmap) uint64 {
	if deleted := s.segment.Deleted(); deleted != nil {
		return bitmap.GetCardinality() - bitmap.AndCardinality(deleted)
	}
	return bitmap.GetCardinality()
}

// list fills in docs.
func (s *scope) list() {
	if s.docs == nil {
		s.docs = s.found.ToArray()
	}
}

// bitmap is found, filled in.
func (s *scope) bitmap() *roaring.Bitmap {
	if s.found == nil {
		s.found = roaring.BitmapOf(s.docs...)
	}
	return s.found
}

// count is how many documents pass.
func (s *scope) count() int {
	if s.found == nil {
		return len(s.docs)
	}
	return int(s.found.GetCardinality())
}
