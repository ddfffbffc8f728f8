package search

import (
	"slices"

	"github.com/RoaringBitmap/roaring/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"
	segment "github.com/blevesearch/scorch_segment_api/v2"
)

// scope is one segment of the index within one search: first which documents
// may match, by bitmap, then which do.
type scope struct {
	segment *scorch.SegmentSnapshot
	// words has for each word of the filter the documents that have it,
	// deleted ones included.
	words []*roaring.Bitmap
	// hints has the same for each hint.
	hints []*roaring.Bitmap
	// found are the documents that pass; docs lists them in order.
	found *roaring.Bitmap
	docs  []uint32

	towns *values
	// ways has the way to each of the different towns, once it was measured.
	ways   []*reach
	posted []uint64
	scores []float64 // beside docs, where the order asks for it
}

// lookUp finds the documents that pass all that bitmaps can tell: words, kinds,
// classes, states, shop and the cells of the disc. Bitmaps of the library are
// shared, and must not be changed.
func (s *scope) lookUp(f *Filter, cells []string) error {
	for _, word := range f.words {
		having, err := s.anyOf(wordTerms(word))
		if err != nil {
			return err
		}
		s.words = append(s.words, having)
	}
	all := slices.Clone(s.words)
	for _, terms := range isTermsOf(f, cells) {
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

// lookUpHints finds the documents that have each hint, to tell how rare it is.
func (s *scope) lookUpHints(hints []hint) error {
	for _, h := range hints {
		having, err := s.anyOf([]fieldTerm{h.at()})
		if err != nil {
			return err
		}
		s.hints = append(s.hints, having)
	}
	return nil
}

// fieldTerm is a term in a field.
type fieldTerm struct{ field, term string }

// wordTerms are the places a word may stand in.
func wordTerms(word string) []fieldTerm {
	var terms []fieldTerm
	for _, field := range groupFields[:wordGroups] {
		terms = append(terms, fieldTerm{field, word})
	}
	return terms
}

// isTermsOf lists, for each thing a filter asks of what a lot is, the terms any
// of which will do.
func isTermsOf(f *Filter, cells []string) [][]fieldTerm {
	lists := [][]fieldTerm{isAny(f.states, stateTerm), isAny(f.kinds, kindTerm), isAny(f.classes, classTerm), isAny(f.regions, regionTerm), isAny(cells, cellTerm)}
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
		postings, err := s.postings(t)
		if err != nil {
			return nil, err
		}
		any = append(any, bitmapOf(postings))
	}
	return roaring.FastOr(any...), nil
}

// postings is the list of documents that have a term.
func (s *scope) postings(t fieldTerm) (segment.PostingsList, error) {
	dictionary, err := s.segment.Segment().Dictionary(t.field)
	if err != nil {
		return nil, err
	}
	return dictionary.PostingsList([]byte(t.term), nil, nil)
}

// bitmapOf is the documents of a postings list. It belongs to the library.
func bitmapOf(postings segment.PostingsList) *roaring.Bitmap {
	all, ok := postings.Iterator(false, false, false, nil).(segment.OptimizablePostingsIterator)
	if !ok {
		return roaring.New()
	}
	if doc, one := all.DocNum1Hit(); one {
		return roaring.BitmapOf(uint32(doc))
	}
	if bitmap := all.ActualBitmap(); bitmap != nil {
		return bitmap
	}
	return roaring.New()
}

// live tells how many documents of a bitmap are not deleted.
func (s *scope) live(bitmap *roaring.Bitmap) uint64 {
	if deleted := s.segment.Deleted(); deleted != nil {
		return bitmap.GetCardinality() - bitmap.AndCardinality(deleted)
	}
	return bitmap.GetCardinality()
}
