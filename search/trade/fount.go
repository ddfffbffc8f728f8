package trade

import (
	"fmt"
	"math"
	"slices"
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
	full    Bill
	pieces  int
	wood    bool
}

// fountOf gathers what a lot of metal or wood type says of its sorts.
func fountOf(lot *pb.Lot) (*fount, bool) {
	switch lot.GetKind() {
	case pb.Kind_KIND_METAL_TYPE:
		d := orEmpty(lot.GetMetalType())
		return newFount(lot.GetParts(), d.GetBill(), d.GetScheme(), d.Pieces, false), true
	case pb.Kind_KIND_WOOD_TYPE:
		d := orEmpty(lot.GetWoodType())
		return newFount(lot.GetParts(), d.GetBill(), d.GetScheme(), d.Pieces, true), true
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

func newFount(p *pb.Parts, counts []*pb.SortCount, scheme string, pieces *int32, wood bool) *fount {
	f := &fount{
		counted: BillOf(counts), groups: map[Group]bool{}, missing: map[string]bool{}, gone: map[Group]bool{},
		checked: p.GetRestComplete(), pieces: math.MaxInt32, wood: wood,
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
	case f.full == nil && f.checked && f.wanted()[s] > 0:
		return f.wanted()[s], noLimit
	case f.groups[g]:
		return 0, 0
	case scheme:
		return 0, of
	case f.full != nil && (g == Capitals || g == LowerCase):
		return 0, 0
	}
	return 0, noLimit
}

// wanted is the bill that the fount is judged by: that of its scheme, or, where
// nobody knows it, that of the smallest useful fount: 3A for wood, 8A 10a for
// metal. A design choice.
func (f *fount) wanted() Bill {
	if f.full != nil {
		return f.full
	}
	if f.wood {
		return Scheme{Caps: 3}.Bill()
	}
	return Scheme{Caps: 8, Lower: 10}.Bill()
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
	case f.checked && f.wanted().Sum(g) > 0:
		return Yes
	}
	return Unknown
}

// fount weighs the sorts of a fount, and the text to set if there is one.
func (a *account) fount(f *fount, text string) span {
	base := a.sorts(f)
	if strings.TrimSpace(text) == "" {
		return base
	}
	return base.scaled(1 - textWeight).plus(a.text(f, text).scaled(textWeight))
}

// sorts is the share of the wanted sorts that is there, times the share of the
// letters of the alphabet of which there is at least one: a fount that wants a
// letter altogether cannot be used for general setting.
func (a *account) sorts(f *fount) span {
	wanted := f.wanted()
	low, high := f.bills(wanted)
	most := min(high.Supply(wanted), float64(f.pieces)/float64(max(wanted.Pieces(), 1)))
	most *= coverage(high, wanted)
	s := between(min(low.Supply(wanted)*coverage(low, wanted), most), most)
	a.saySorts(f, s, wanted, low)
	return s
}

// coverage is the share of the wanted letters of which there is at least one.
func coverage(have, wanted Bill) float64 {
	var all, there int
	for s := range wanted {
		if g := GroupOf(s); g == Capitals || g == LowerCase {
			all++
			there += min(have[s], 1)
		}
	}
	if all == 0 {
		return 1
	}
	return float64(there) / float64(all)
}

func (a *account) saySorts(f *fount, s span, wanted, have Bill) {
	judged := "the smallest useful fount"
	if f.full != nil {
		judged = "a fount of " + f.scheme.String()
	}
	switch {
	case s.low < s.high && len(f.counted) == 0:
		a.say("its sorts were not counted; judged against %s", judged)
	case s.low < s.high:
		a.say("only some of its sorts were counted; judged against %s", judged)
	case s.high == 1:
		a.say("every sort of %s is there", judged)
	default:
		a.say("short of %s: %s", judged, have.Short(wanted).list())
		a.sayUsable(f, have)
	}
}

func (a *account) sayUsable(f *fount, have Bill) {
	if f.full == nil {
		return
	}
	if as, limiting := f.scheme.Usable(have); limiting != "" {
		a.say("behaves as a fount of %s, for want of %s", schemeOf(f.scheme, int(as)), limiting)
	}
}

// schemeOf is a scheme's kind of fount with so many A's.
func schemeOf(s Scheme, n int) string {
	if s.Caps == 0 {
		return fmt.Sprintf("%da", n)
	}
	return fmt.Sprintf("%dA", n)
}

// longestList is how many things a reason names.
const longestList = 12

// list writes a bill as "E 3, Q 1", the most first.
func (b Bill) list() string {
	sorts := b.Sorts()
	slices.SortStableFunc(sorts, func(x, y string) int { return b[y] - b[x] })
	for i, s := range sorts {
		sorts[i] = fmt.Sprintf("%s %d", s, b[s])
	}
	return listed(sorts)
}

// listed writes a list with commas, the first so many of it.
func listed(words []string) string {
	if len(words) <= longestList {
		return strings.Join(words, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(words[:longestList], ", "), len(words)-longestList)
}

// text is the share of a text that the fount can set.
func (a *account) text(f *fount, text string) span {
	needed := Needed(text)
	if len(needed) == 0 {
		return surely(1)
	}
	all := needed
	for _, l := range []string{"ff", "fi", "fl", "ffi", "ffl"} {
		if f.counted[l] > 0 {
			all = all.with(l)
		}
	}
	lowBill, highBill := f.bills(all)
	n := float64(needed.Pieces())
	shortLow, shortHigh := Set(lowBill, text), Set(highBill, text)
	high := min(1-float64(shortHigh.Pieces())/n, float64(f.pieces)/n)
	s := between(min(1-float64(shortLow.Pieces())/n, high), high)
	a.sayText(text, s, shortLow, shortHigh)
	return s
}

// with is a bill that also has one of a sort.
func (b Bill) with(sort string) Bill {
	c := Bill{sort: 1}
	for s, n := range b {
		c[s] += n
	}
	return c
}

func (a *account) sayText(text string, s span, shortLow, shortHigh Bill) {
	switch {
	case s.low == 1:
		a.say("can set %q", text)
	case len(shortHigh) > 0:
		a.say("cannot set %q: short of %s", text, shortHigh.list())
	default:
		a.say("not known whether it can set %q: it needs %s", text, shortLow.list())
	}
}
