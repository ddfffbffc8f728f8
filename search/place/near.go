package place

import (
	"cmp"
	"math/bits"
	"slices"
	"strings"
)

// maxNear is how many near spellings to offer.
const maxNear = 5

// near is the towns spelt most like the query: in the region it names, if it
// names one, along with towns rightElsewhere that are spelt just so.
func (q query) near() []Town {
	key, inside := q.nearScope()
	if key == "" {
		return nil
	}
	s := newSpeller(key)
	all := theSpellings()
	all.near(key, s.slips, func(name int) {
		town := int(all.town[name])
		if inside == nil || inside[gazetteer().RegionOf(town)] {
			s.try(town, all.key(name))
		}
	})
	if inside != nil {
		for _, town := range principals(key) {
			s.hits = append(s.hits, hit{town, rightElsewhere})
		}
	}
	return s.best()
}

// maxRegionWords is the most words at the end of a name to try for a region:
// "North Carolina USA".
const maxRegionWords = 4

// nearScope is the key of the name to look for, and which regions to look in,
// nil for all. Without a comma, the last words may be the region's.
func (q query) nearScope() (key string, inside []bool) {
	if inside := regionsCalled(q.qualifiers); inside != nil {
		return strings.Join(q.name, ""), inside
	}
	for split := max(1, len(q.name)-maxRegionWords); split < len(q.name); split++ {
		if inside := regionsCalled([][]string{q.name[split:]}); inside != nil {
			return strings.Join(q.name[:split], ""), inside
		}
	}
	return strings.Join(q.name, ""), nil
}

// regionsCalled marks the regions that answer to the qualifiers, or to the last
// of them if a county, say, comes before. It is nil if there are none.
func regionsCalled(qualifiers [][]string) []bool {
	if len(qualifiers) == 0 {
		return nil
	}
	inside := make([]bool, gazetteer().Regions())
	best := byCode
	for i := range inside {
		s := regionSettings()[i].match(qualifiers[len(qualifiers)-1])
		if s > best {
			clear(inside)
			best = s
		}
		inside[i] = s == best
	}
	if !slices.Contains(inside, true) {
		return nil
	}
	return inside
}

// hit is a town and how far its spelling is from what was asked, in half edits.
type hit struct{ town, halves int }

// rightElsewhere ranks a town of the very name in another region: after one slip of
// the pen, before two.
const rightElsewhere = 3

// speller gathers the towns whose names are spelt much like a key.
type speller struct {
	key     string
	letters uint64
	slips   int // how many slips of the pen to allow
	hits    []hit
	rows    [3][]int
}

func newSpeller(key string) *speller {
	s := &speller{key: key, letters: letterSet([]byte(key)), slips: 2}
	if len(key) < 5 {
		s.slips = 1
	}
	for i := range s.rows {
		s.rows[i] = make([]int, len(key)+1)
	}
	return s
}

func (s *speller) try(town int, name []byte) {
	if d := len(name) - len(s.key); d > s.slips || -d > s.slips {
		return
	}
	// A slip puts at most one letter in and takes one out.
	if bits.OnesCount64(letterSet(name)^s.letters) > 2*s.slips {
		return
	}
	if d := s.distance(name); d <= s.slips {
		s.hits = append(s.hits, hit{town, 2 * d})
	}
}

func letterSet(key []byte) uint64 {
	var set uint64
	for _, c := range key {
		set |= 1 << (c & 63)
	}
	return set
}

// distance is the number of letters to put in, take out, change, or swap with
// the next, to make the one spelling the other.
func (s *speller) distance(name []byte) int {
	before, last, row := s.rows[0], s.rows[1], s.rows[2]
	for j := range row {
		row[j] = j
	}
	for i := range name {
		before, last, row = last, row, before
		row[0] = i + 1
		for j := range s.key {
			row[j+1] = min(row[j]+1, last[j+1]+1, last[j]+differ(name[i], s.key[j]))
			if i > 0 && j > 0 && name[i] == s.key[j-1] && name[i-1] == s.key[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
	}
	return row[len(s.key)]
}

func differ(a, b byte) int {
	if a == b {
		return 0
	}
	return 1
}

// best is the towns nearest in spelling, the more populous first among equals.
func (s *speller) best() []Town {
	slices.SortStableFunc(s.hits, func(a, b hit) int {
		return cmp.Or(cmp.Compare(a.halves, b.halves), cmp.Compare(weight(b.town), weight(a.town)))
	})
	var towns []int
	for _, h := range s.hits {
		if len(towns) < maxNear && !slices.Contains(towns, h.town) {
			towns = append(towns, h.town)
		}
	}
	return townsAt(towns)
}
