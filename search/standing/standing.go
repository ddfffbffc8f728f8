package standing

import (
	"cmp"
	"iter"
	"maps"
	"math"
	"slices"
	"sync"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
)

// Ask is one want of a list: what it asks, its near resolved.
type Ask struct {
	Filter *pb.LotFilter
	// Marked is a bit that the caller may read back from Met.
	Marked bool
}

// Met is a want that a lot meets.
type Met struct {
	// List is the number that the caller gave the list.
	List uint64
	// Want is which of the list's wants it is, from 0.
	Want int
	// Marked is as the want has it.
	Marked bool
	// Before tells whether the lot met it as it was before.
	Before bool
	// RoadKm is how far the lot is by road from where the want looks, in
	// kilometres; NaN if that is not known, or if no road leads there.
	RoadKm float64
}

// MostWants is how many wants a list may have.
const MostWants = 256

// Wants are the standing wants. Its zero value is not ready; see New. Calls of
// Meeting may run beside each other, and nothing beside any other call.
type Wants struct {
	words   words
	points  points
	table   table
	lists   lists
	pages   [][]want
	count   uint32 // of wants that ever stood at once
	spare   uint32 // the first free want, and 1; they are chained by next
	stand   int
	extras  slots[extra]
	roads   sync.Pool // of *roads, between one Meeting and the next
	covered struct {
		circle
		cells []uint64
	}
}

const pageSize = 1 << 12

// New returns a set without any wants.
func New() *Wants { return &Wants{words: newWords(), points: newPoints(), lists: newLists()} }

// Len is how many wants stand.
func (w *Wants) Len() int { return w.stand }

// Lists are the numbers of the lists that stand, in no order.
func (w *Wants) Lists() iter.Seq[uint64] { return maps.Keys(w.lists.numbers) }

// Stands tells whether a list of that number stands.
func (w *Wants) Stands(list uint64) bool {
	_, there := w.lists.numbers[list]
	return there
}

func (w *Wants) at(n uint32) *want { return &w.pages[n/pageSize][n%pageSize] }

func (w *Wants) extraOf(one *want) *extra {
	if one.more == 0 {
		return &noExtra
	}
	return &w.extras.all[one.more-1]
}

// Put has a list stand with these wants and no others: the first MostWants of
// them. The number is the caller's, and is given back by Meeting. Filters are kept
// where they are not plain, and must not be changed.
func (w *Wants) Put(list uint64, asks []Ask) {
	w.Drop(list)
	if len(asks) == 0 {
		return
	}
	asks = asks[:min(len(asks), MostWants)]
	number := w.lists.add(list, uint16(len(asks)))
	for i, a := range slices.Backward(asks) {
		packed, more := w.pack(a)
		packed.list, packed.ordinal, packed.next = number, uint8(i), w.lists.all[number].first
		w.lists.all[number].first = w.stow(packed, more) + 1
	}
}

// stow keeps a want and files it.
func (w *Wants) stow(packed want, more extra) uint32 {
	n := w.keep(packed, more)
	one := w.at(n)
	w.choose(one)
	w.file(n, one, w.places(one))
	return n
}

// keep keeps a want that is not filed yet.
func (w *Wants) keep(packed want, more extra) uint32 {
	if !more.empty() {
		packed.more = w.extras.keep(more) + 1
	}
	n := w.newWant()
	*w.at(n) = packed
	w.stand++
	return n
}

// file files a want that has chosen under what.
func (w *Wants) file(n uint32, one *want, places []uint64) {
	w.countFiled(one, 1)
	f := newFiling(n, w.hintOf(one))
	w.each(one, places, func(hash uint64) { w.table.add(hash, f) })
}

// countFiled keeps count of what is filed under a word.
func (w *Wants) countFiled(one *want, by int32) {
	if one.filed > lastWord {
		return
	}
	word := &w.words.all[w.wordOf(one, w.extraOf(one))]
	if one.says&saysPlaced == 0 {
		word.alone += uint32(by)
	} else {
		word.placed += uint32(by)
	}
}

// each calls do with every hash that a want is filed under.
func (w *Wants) each(one *want, places []uint64, do func(hash uint64)) {
	for _, key := range w.keys(one) {
		for _, at := range places {
			do(hashOf(key, at))
		}
	}
}

func (w *Wants) newWant() uint32 {
	if w.spare != 0 {
		n := w.spare - 1
		w.spare = w.at(n).next
		return n
	}
	if w.count%pageSize == 0 {
		w.pages = append(w.pages, make([]want, pageSize))
	}
	w.count++
	return w.count - 1
}

// Drop has a list stand no more. One that does not stand is no error.
func (w *Wants) Drop(list uint64) {
	number, there := w.lists.numbers[list]
	if !there {
		return
	}
	for n := w.lists.all[number].first; n != 0; {
		one := w.at(n - 1)
		next := one.next
		w.unfile(n-1, one)
		n = next
	}
	w.lists.drop(number)
}

func (w *Wants) unfile(n uint32, one *want) {
	w.countFiled(one, -1)
	w.each(one, w.places(one), func(hash uint64) { w.table.remove(hash, n) })
	w.texts(one, w.words.drop)
	if one.says&saysNear != 0 {
		w.points.drop(one.at)
	}
	if one.more != 0 {
		w.extras.free(one.more - 1)
	}
	*one = want{next: w.spare}
	w.spare = n + 1
	w.stand--
}

// Meeting lists the wants that a lot meets, in the order of their lists' numbers
// and within a list in its own order. before is the lot as it was; nil if it was
// not.
func (w *Wants) Meeting(now, before *search.Facts) []Met {
	l := w.read(now)
	defer w.done(l)
	found := w.find(l)
	met := make([]Met, len(found))
	for i, n := range found {
		one := w.at(n)
		met[i] = Met{List: w.lists.all[one.list].name, Want: int(one.ordinal), Marked: one.says&saysMark != 0, RoadKm: math.NaN()}
		if one.says&saysNear != 0 {
			met[i].RoadKm = w.roadKm(l, one.at)
		}
	}
	if before != nil && len(found) > 0 {
		w.wasMet(found, met, before)
	}
	slices.SortFunc(met, compare)
	// A want is found twice where two of its keys share a hash.
	return slices.CompactFunc(met, func(a, b Met) bool { return compare(a, b) == 0 })
}

func compare(a, b Met) int { return cmp.Or(cmp.Compare(a.List, b.List), cmp.Compare(a.Want, b.Want)) }

// wasMet notes which of the wants the lot met before.
func (w *Wants) wasMet(found []uint32, met []Met, before *search.Facts) {
	was := w.read(before)
	defer w.done(was)
	for i, n := range found {
		met[i].Before = w.admits(w.at(n), was)
	}
}

// find lists the wants that a lot meets.
func (w *Wants) find(l *lot) []uint32 {
	var found []uint32
	judge := func(hash uint64) {
		var single [1]filing
		for _, f := range w.table.under(hash, &single) {
			if l.couldMeet(f.hint()) && w.admits(w.at(f.want()), l) {
				found = append(found, f.want())
			}
		}
	}
	places := w.lotPlaces(l)
	for _, n := range l.words {
		word := &w.words.all[n]
		switch key := keyWord + uint64(n); {
		case word.placed > 0:
			judgeAll(judge, key, places)
		case word.alone > 0:
			judge(hashOf(key, anywhere))
		}
	}
	for _, key := range l.lotKeys() {
		judgeAll(judge, key, places)
	}
	return found
}

func judgeAll(judge func(uint64), key uint64, places []uint64) {
	for _, at := range places {
		judge(hashOf(key, at))
	}
}
