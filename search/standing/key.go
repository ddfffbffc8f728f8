package standing

import (
	"math"
	"math/bits"

	"github.com/golang/geo/s2"

	"heirpress/search"
	"heirpress/search/place"
)

// What a want is filed under, in want.filed: one of its words, by its place among
// them, or one of these.
const (
	underClasses = 255 - iota
	underKinds
	underShop
	underAnything
	underNothing // it can admit no lot
	lastWord     = 199
)

// Sorts of keys, above the number of what is filed under.
const (
	keyWord = iota << 32
	keyClass
	keyKind
	keyShop
	keyAnything
)

// A want that looks within a circle is filed under the S2 cells of these levels
// that cover it: from about 2,500 km across to about 10 km. Finer cells would
// fit small circles closer, but wants that look a few miles round are few.
const (
	topCell    = 2
	bottomCell = 10
	// coverCells is how many cells a circle is covered with, at most. Each costs a
	// want 11 bytes; fewer leave more wants to be judged in vain.
	coverCells = 8
)

// fewAlone is how many wants are filed under a word alone, before any is filed
// under it together with where it looks: to judge so few costs less than to look
// under every cell.
const fewAlone = 64

// anywhere is the place of wants that can be met anywhere.
const anywhere = 0

// choose picks what a want is filed under, and whether together with where it
// looks.
func (w *Wants) choose(one *want) {
	more := w.extraOf(one)
	switch {
	case one.withinKm != 0 && one.says&saysNear == 0 && more.whole == nil:
		one.filed = underNothing
		return
	case one.count > 0:
		one.filed = w.rarest(one, more)
		if n := w.wordOf(one, more); w.words.all[n].alone < fewAlone {
			return
		}
	case more.shop != 0:
		one.filed = underShop
		return
	case one.classes != 0:
		one.filed = underClasses
	case one.kinds != 0:
		one.filed = underKinds
	default:
		one.filed = underAnything
	}
	one.says |= saysPlaced
}

// rarest is the place among a want's words of the one that the fewest wants ask
// for.
func (w *Wants) rarest(one *want, more *extra) uint8 {
	best, fewest := 0, uint32(math.MaxUint32)
	for i := range min(int(one.count)+len(more.words), lastWord+1) {
		if uses := w.words.all[wordAt(one, more, i)].uses; uses < fewest {
			best, fewest = i, uses
		}
	}
	return uint8(best)
}

func wordAt(one *want, more *extra, i int) uint32 {
	if i < int(one.count) {
		return one.words[i]
	}
	return more.words[i-int(one.count)]
}

// wordOf is the word that a want is filed under.
func (w *Wants) wordOf(one *want, more *extra) uint32 { return wordAt(one, more, int(one.filed)) }

// keys lists what a want is filed under, apart from where it looks.
func (w *Wants) keys(one *want) []uint64 {
	more := w.extraOf(one)
	switch one.filed {
	case underNothing:
		return nil
	case underAnything:
		return []uint64{keyAnything}
	case underShop:
		return []uint64{keyShop + uint64(more.shop)}
	case underClasses:
		return keysOf(keyClass, one.classes)
	case underKinds:
		return keysOf(keyKind, uint64(one.kinds))
	}
	return []uint64{keyWord + uint64(w.wordOf(one, more))}
}

// keysOf lists a key for each bit.
func keysOf(sort uint64, set uint64) (keys []uint64) {
	for ; set != 0; set &= set - 1 {
		keys = append(keys, sort+uint64(bits.TrailingZeros64(set)))
	}
	return keys
}

// places lists where a want looks: cells, regions, or anywhere.
func (w *Wants) places(one *want) []uint64 {
	if one.says&saysPlaced == 0 {
		return []uint64{anywhere}
	}
	if one.withinKm > 0 && one.says&saysNear != 0 {
		if cells := w.cover(w.points.all[one.at].at, one.withinKm); len(cells) > 0 {
			return cells
		}
	}
	if regions := w.extraOf(one).regions; len(regions) > 0 {
		return regionPlaces(regions)
	}
	return []uint64{anywhere}
}

// regionPlaces turns numbers of regions into places; see areCells.
func regionPlaces(regions []uint32) []uint64 {
	places := make([]uint64, len(regions))
	for i, n := range regions {
		places[i] = uint64(n) + 1
	}
	return places
}

// cover lists the cells that together hold every town within a distance by road,
// or none for a circle so wide that cells are no help. The last circle is
// remembered: the wants of a list mostly share one.
func (w *Wants) cover(p place.Point, km float64) []uint64 {
	c := circle{p, km}
	if w.covered.circle != c || w.covered.cells == nil {
		w.covered.circle, w.covered.cells = c, covering(p, km/place.MinCircuity())
	}
	return w.covered.cells
}

type circle struct {
	at place.Point
	km float64
}

func covering(p place.Point, km float64) []uint64 {
	if !p.Valid() {
		return nil
	}
	cells := []uint64{}
	for _, cell := range search.Covering(p, km, topCell, bottomCell, coverCells) {
		cells = append(cells, uint64(cell))
	}
	return cells
}

// lotKeys lists what a lot's wants may be filed under, apart from words.
func (l *lot) lotKeys() []uint64 {
	keys := append(keysOf(keyClass, l.classes), keysOf(keyKind, uint64(l.kinds))...)
	if l.shop != 0 {
		keys = append(keys, keyShop+uint64(l.shop))
	}
	return append(keys, keyAnything)
}

// lotPlaces lists the places that a lot is in.
func (w *Wants) lotPlaces(l *lot) []uint64 {
	places := []uint64{anywhere}
	for _, region := range l.facts.Regions() {
		if n, asked := w.words.numbers[regionText+region]; asked {
			places = append(places, uint64(n)+1)
		}
	}
	if l.town == nil {
		return places
	}
	cell := s2.CellIDFromLatLng(s2.LatLngFromDegrees(l.town.Lat, l.town.Lng))
	for level := topCell; level <= bottomCell; level++ {
		places = append(places, uint64(cell.Parent(level)))
	}
	return places
}
