package search

import (
	"github.com/RoaringBitmap/roaring/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"
	segment "github.com/blevesearch/scorch_segment_api/v2"
)

// fieldTerm is a term in a field.
type fieldTerm struct{ field, term string }

// having finds the documents of a segment that have a term, deleted ones
// included. The bitmap belongs to the library, and must not be changed.
func having(s *scorch.SegmentSnapshot, t fieldTerm) (*roaring.Bitmap, error) {
	dictionary, err := s.Segment().Dictionary(t.field)
	if err != nil {
		return nil, err
	}
	return new(lister).listed(dictionary, t.term)
}

// lister lists the documents that have a term. Used again, it makes the next
// bitmap where the last one was.
type lister struct {
	postings segment.PostingsList
	iterator segment.PostingsIterator
}

func (l *lister) listed(dictionary segment.TermDictionary, term string) (_ *roaring.Bitmap, err error) {
	if l.postings, err = dictionary.PostingsList([]byte(term), nil, l.postings); err != nil {
		return nil, err
	}
	l.iterator = l.postings.Iterator(false, false, false, l.iterator)
	all, ok := l.iterator.(segment.OptimizablePostingsIterator)
	if !ok {
		return roaring.New(), nil
	}
	if doc, one := all.DocNum1Hit(); one {
		return roaring.BitmapOf(uint32(doc)), nil
	}
	if bitmap := all.ActualBitmap(); bitmap != nil {
		return bitmap, nil
	}
	return roaring.New(), nil
}

// span is a run of terms, or those of them that an automaton lets pass.
type span struct {
	automaton segment.Automaton
	from, to  []byte // to is left out; nil means up to the last
}

// beginningWith is the terms that begin with a text.
func beginningWith(text string) span { return span{from: []byte(text), to: pastAll(text)} }

// pastAll is the least text that is greater than all that begin with one; nil if
// there is none.
func pastAll(text string) []byte {
	next := []byte(text)
	for i := len(next) - 1; i >= 0; i-- {
		if next[i] < 0xff {
			next[i]++
			return next[:i+1]
		}
	}
	return nil
}

// eachTerm shows the terms of a field of a segment, in order, and the documents
// that have each. A bitmap must not be changed, and is good until visit returns.
func eachTerm(s segment.Segment, field string, terms span, visit func(term string, docs *roaring.Bitmap)) error {
	return eachListed(s, field, terms, new(lister).listed, visit)
}

// keepTerms is eachTerm with bitmaps that stay good as long as the segment.
func keepTerms(s segment.Segment, field string, terms span, visit func(term string, docs *roaring.Bitmap)) error {
	return eachListed(s, field, terms, func(d segment.TermDictionary, term string) (*roaring.Bitmap, error) {
		return new(lister).listed(d, term)
	}, visit)
}

func eachListed(s segment.Segment, field string, terms span, list func(segment.TermDictionary, string) (*roaring.Bitmap, error), visit func(term string, docs *roaring.Bitmap)) error {
	dictionary, err := s.Dictionary(field)
	if err != nil {
		return err
	}
	found := dictionary.AutomatonIterator(terms.automaton, terms.from, terms.to)
	for {
		entry, err := found.Next()
		if err != nil || entry == nil {
			return err
		}
		docs, err := list(dictionary, entry.Term)
		if err != nil {
			return err
		}
		visit(entry.Term, docs)
	}
}
