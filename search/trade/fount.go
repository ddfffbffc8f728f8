package trade

import (
	"math"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// fount is what is known of the sorts of a lot of type.
type fount struct {
	counted Bill
	// groups are those that were counted as a whole.
	groups  map[Group]bool
	missing map[string]bool
	gone    map[Group]bool
	checked bool
	scheme  Scheme
	// full is what the scheme has; nil where nobody knows the scheme.
	full Bill
	// wanted is the bill that the fount is judged by: full, or, where nobody knows
	// the scheme, that of the smallest useful fount.
	wanted Bill
	pieces int
}

// The smallest useful founts: 3A of wood, 8A 10a of metal. Design choices.
var (
	leastWood  = Scheme{Caps: 3}.Bill()
	leastMetal = Scheme{Caps: 8, Lower: 10}.Bill()
)

// fountOf gathers what a lot of metal or wood type says of its sorts.
func fountOf(lot *pb.Lot) (*fount, bool) {
	switch lot.GetKind() {
	case pb.Kind_KIND_METAL_TYPE:
		d := orEmpty(lot.GetMetalType())
		return newFount(lot.GetParts(), d.GetBill(), d.GetScheme(), d.Pieces, leastMetal), true
	case pb.Kind_KIND_WOOD_TYPE:
		d := orEmpty(lot.GetWoodType())
		return newFount(lot.GetParts(), d.GetBill(), d.GetScheme(), d.Pieces, leastWood), true
	}
	return nil, false
}

// orEmpty is a detail, or one that says nothing where a lot has none.
func orEmpty[T any](detail *T) *T {
	if detail == nil {
		return new(T)
	}
	return detail
}

func newFount(p *pb.Parts, counts []*pb.SortCount, scheme string, pieces *int32, least Bill) *fount {
	f := &fount{
		counted: BillOf(counts), groups: map[Group]bool{}, missing: map[string]bool{}, gone: map[Group]bool{},
		checked: p.GetRestComplete(), pieces: math.MaxInt32, wanted: least,
	}
	for g, size := range groupSizes {
		f.groups[g] = 2*f.counted.different(g) >= size
	}
	for _, m := range p.GetMissing() {
		if g, ok := groupWords[folded(m)]; ok {
			f.gone[g] = true
		}
		f.missing[strings.TrimSpace(m)] = true
	}
	if s, err := ParseScheme(scheme); err == nil {
		f.scheme, f.full = s, s.Bill()
		f.wanted = f.full
	}
	if pieces != nil {
		// What was counted is there, whatever was said of the whole.
		f.pieces = max(int(*pieces), f.counted.Pieces())
	}
	return f
}

// noLimit is more of a sort than any fount has.
const noLimit = 1 << 20

// groupSizes is how many sorts a group has, of points those of a job fount.
var groupSizes = map[Group]int{Capitals: 26, LowerCase: 26, Figures: 10, Points: 8}

// different is how many sorts of a group a bill names.
func (b Bill) different(g Group) int {
	n := 0
	for s := range b {
		if GroupOf(s) == g {
			n++
		}
	}
	return n
}

// sort is how many there are of a sort, from low to high. A sort that was not
// counted is taken to be wanting where half of its group or more was counted:
// nobody writes down the noughts. Where fewer were, only those were asked for.
func (f *fount) sort(s string) (low, high int) {
	n, counted := f.counted[s]
	of, scheme := f.full[s]
	switch g := GroupOf(s); {
	case f.missing[s] || f.gone[g]:
		return 0, 0
	case counted:
		return n, n
	case scheme && f.checked:
		return of, of
	case f.full == nil && f.checked && f.wanted[s] > 0:
		return f.wanted[s], noLimit
	case f.groups[g]:
		return 0, 0
	case scheme:
		return 0, of
	case f.full != nil && (g == Capitals || g == LowerCase):
		return 0, 0
	}
	return 0, noLimit
}

// bills returns the least and the most there can be of the sorts wanted.
func (f *fount) bills(wanted Bill) (low, high Bill) {
	low, high = Bill{}, Bill{}
	for s := range wanted {
		low[s], high[s] = f.sort(s)
	}
	return low, high
}

// has tells whether any of a group is there.
func (f *fount) has(g Group) Answer {
	switch {
	case f.gone[g]:
		return No
	case f.counted.Sum(g) > 0:
		return Yes
	case f.groups[g]:
		return No
	case f.full != nil && f.full.Sum(g) == 0 && (g == Capitals || g == LowerCase):
		return No
	case f.checked && f.wanted.Sum(g) > 0:
		return Yes
	}
	return Unknown
}
