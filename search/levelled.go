package search

import (
	"strings"

	"github.com/RoaringBitmap/roaring/v2"
	segment "github.com/blevesearch/scorch_segment_api/v2"
)

// levelled is the documents of a segment that have a word, by its level.
type levelled struct {
	// at has the documents of each level; no document is in two. Bitmaps may
	// belong to the library, and must not be changed.
	at [levels + 1]*roaring.Bitmap
	// any is the documents of all levels.
	any *roaring.Bitmap
}

// levelsOfWord finds a word in a segment.
func levelsOfWord(s segment.Segment, word string) (*levelled, error) {
	return levelsOfSpans(s, beginningWith(word+endOfWord))
}

// levelsOfBeginning finds every word that a beginning stands for. Where a
// document has several, the one of the highest level counts.
func levelsOfBeginning(s segment.Segment, b beginning) (*levelled, error) {
	spans := []span{beginningWith(b.of)}
	if b.whole != "" {
		spans = append(spans, beginningWith(b.whole+endOfWord))
	}
	return levelsOfSpans(s, spans...)
}

func levelsOfSpans(s segment.Segment, spans ...span) (*levelled, error) {
	var at [levels + 1][]*roaring.Bitmap
	for _, terms := range spans {
		err := keepTerms(s, wordField, terms, func(term string, docs *roaring.Bitmap) {
			if _, l, ok := strings.Cut(term, endOfWord); ok && l != "" && l[0] <= levels {
				at[l[0]] = append(at[l[0]], docs)
			}
		})
		if err != nil {
			return nil, err
		}
	}
	return newLevelled(at), nil
}

// newLevelled makes the levels disjoint, the highest first.
func newLevelled(at [levels + 1][]*roaring.Bitmap) *levelled {
	w := &levelled{}
	var all []*roaring.Bitmap
	several := false
	for l := levels; l > 0; l-- {
		if len(at[l]) == 0 {
			continue
		}
		w.at[l] = union(at[l])
		several = several || len(at[l]) > 1
		all = append(all, w.at[l])
	}
	w.any = union(all)
	if several {
		w.part()
	}
	return w
}

// part leaves each document in its highest level alone.
func (w *levelled) part() {
	higher := roaring.New()
	for l := levels; l > 0; l-- {
		if w.at[l] != nil {
			w.at[l] = roaring.AndNot(w.at[l], higher)
			higher.Or(w.at[l])
		}
	}
}
