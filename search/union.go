package search

import "github.com/RoaringBitmap/roaring/v2"

// fewUnited is how many bitmaps the library unites faster than united does.
const fewUnited = 3

// union is the documents of all bitmaps. One alone is passed on as it is.
func union(bitmaps []*roaring.Bitmap) *roaring.Bitmap {
	switch {
	case len(bitmaps) == 1:
		return bitmaps[0]
	case len(bitmaps) <= fewUnited:
		return roaring.FastOr(bitmaps...)
	}
	return united(bitmaps)
}

// united sets a bit for every document. The library unites lists two by two,
// and so reads the first of many lists again and again.
func united(bitmaps []*roaring.Bitmap) *roaring.Bitmap {
	var last uint32
	for _, b := range bitmaps {
		if !b.IsEmpty() {
			last = max(last, b.Maximum())
		}
	}
	bits := make([]uint64, last/64+1)
	for _, b := range bitmaps {
		eachDoc(b, func(doc uint32) { bits[doc/64] |= 1 << (doc % 64) })
	}
	return roaring.FromDense(bits, false)
}
