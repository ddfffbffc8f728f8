package search

import (
	"testing"

	"github.com/RoaringBitmap/roaring/v2"
	"pgregory.net/rapid"
)

// A union has the documents of all its bitmaps and no others, and leaves them
// as they were.
func TestUnion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lists := rapid.SliceOfN(rapid.SliceOf(rapid.Uint32Range(0, 200_000)), 0, 8).Draw(t, "lists")
		want := map[uint32]bool{}
		var bitmaps, before []*roaring.Bitmap
		for _, list := range lists {
			b := roaring.BitmapOf(list...)
			bitmaps, before = append(bitmaps, b), append(before, b.Clone())
			for _, doc := range list {
				want[doc] = true
			}
		}
		got := union(bitmaps)
		if int(got.GetCardinality()) != len(want) {
			t.Fatalf("%d documents, not %d", got.GetCardinality(), len(want))
		}
		eachDoc(got, func(doc uint32) {
			if !want[doc] {
				t.Fatalf("document %d is in none", doc)
			}
		})
		for i := range bitmaps {
			if !bitmaps[i].Equals(before[i]) {
				t.Fatalf("bitmap %d was changed", i)
			}
		}
	})
}
