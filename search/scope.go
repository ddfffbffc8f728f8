package search

import (
	"slices"
	"sync"

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
	room  *[]uint32 // what docs is in, if it is to be given back

	towns  *townColumn
	posted *postedColumn
	scores []float64 // beside docs, where the order asks for it
}

// lookUp finds the documents, of some, that pass all that bitmaps can tell but for
// the states and the place: words, kinds, classes and shop.
func (s *scope) lookUp(f *Filter, of *roaring.Bitmap) error {
	if err := s.lookUpWords(f); err != nil {
		return err
	}
	all := []*roaring.Bitmap{of}
	for _, word := range s.words {
		all = append(all, word.any)
	}
	for _, terms := range slices.Concat(pairTerms(f.pairs), isTermsOf(f)) {
		any, err := s.anyOf(terms)
		if err != nil {
			return err
		}
		all = append(all, any)
	}
	s.found = roaring.FastAnd(all...)
	return nil
}

// fewFound is how many documents are sooner asked for their towns than the cells
// of a disc are united.
const fewFound = 4096

// keepIn keeps of many documents found those in any of the cells of a disc. Of few
// it keeps all: the disc only spares asking each for its town.
func (s *scope) keepIn(cells []string) error {
	if len(cells) == 0 || s.found.GetCardinality() <= fewFound {
		return nil
	}
	inside, err := s.anyOf(isAny(cells, cellTerm))
	if err == nil {
		s.found.And(inside)
	}
	return err
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
func isTermsOf(f *Filter) [][]fieldTerm {
	lists := [][]fieldTerm{isAny(f.kinds, kindTerm), isAny(f.classes, classTerm), isAny(f.regions, regionTerm)}
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
	if s.docs != nil {
		return
	}
	s.room, _ = docLists.Get().(*[]uint32)
	n := s.count()
	if s.room == nil || cap(*s.room) < n {
		s.room = new([]uint32)
		*s.room = make([]uint32, n)
	}
	*s.room = (*s.room)[:n]
	s.docs = *s.found.ToExistingArray(s.room)
}

// docLists are lists that earlier searches have done with: together, those of a
// broad search take megabytes.
var docLists sync.Pool

// release gives the list back. The scope must not be used after that.
func (s *scope) release() {
	if s.room != nil {
		docLists.Put(s.room)
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
