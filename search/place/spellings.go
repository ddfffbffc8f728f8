package place

import (
	"bytes"
	"slices"
	"sort"
	"sync"

	"heirpress/search/place/internal/gaz"
)

// spellings is every name of every town by its key, in order, to be searched for
// near spellings. It takes about 4 MB.
type spellings struct {
	keys  []byte
	start []int32 // where the key of each begins in keys
	end   []int32 // and ends
	town  []int32
	// ending holds the numbers of the names by the last two letters of their keys:
	// those of e are ending[endingAt[e]:endingAt[e+1]].
	ending   []int32
	endingAt []int32
}

// theSpellings is built when a name is first misspelt; that takes about as long
// as reading through the gazetteer once.
var theSpellings = sync.OnceValue(newSpellings)

func newSpellings() *spellings {
	var aliases []alias
	gazetteer().Principals(func(key string, town int) { aliases = append(aliases, alias{key, town}) })
	n := gazetteer().Len() + len(aliases)
	s := &spellings{
		keys:  make([]byte, 0, 10*n),
		start: make([]int32, 0, n), end: make([]int32, 0, n), town: make([]int32, 0, n),
	}
	var key []byte
	gazetteer().Scan(0, gazetteer().Len(), func(town int, name []byte) bool {
		key = gaz.AppendKey(key[:0], string(name))
		for len(aliases) > 0 && aliases[0].key <= string(key) {
			s.add([]byte(aliases[0].key), aliases[0].town)
			aliases = aliases[1:]
		}
		s.add(key, town)
		return true
	})
	for _, a := range aliases {
		s.add([]byte(a.key), a.town)
	}
	s.sortEndings()
	return s
}

// alias is a principal further name and its town.
type alias struct {
	key  string
	town int
}

// add adds a name; keys come in order, and equal ones are kept once.
func (s *spellings) add(key []byte, town int) {
	if n := len(s.town); n == 0 || !bytes.Equal(s.key(n-1), key) {
		s.start = append(s.start, int32(len(s.keys)))
		s.keys = append(s.keys, key...)
	} else {
		s.start = append(s.start, s.start[n-1])
	}
	s.end = append(s.end, int32(len(s.keys)))
	s.town = append(s.town, int32(town))
}

func (s *spellings) key(i int) []byte { return s.keys[s.start[i]:s.end[i]] }

// endings is how many endings of two letters are told apart. The rest share
// places, which costs time only.
const endings = 1 << 12

func ending(key []byte) int {
	if len(key) < 2 {
		return 0
	}
	return int(key[len(key)-2]&63)<<6 | int(key[len(key)-1]&63)
}

func (s *spellings) sortEndings() {
	s.endingAt = make([]int32, endings+1)
	for i := range s.town {
		s.endingAt[ending(s.key(i))+1]++
	}
	for e := range endings {
		s.endingAt[e+1] += s.endingAt[e]
	}
	next := slices.Clone(s.endingAt)
	s.ending = make([]int32, len(s.town))
	for i := range s.town {
		e := ending(s.key(i))
		s.ending[next[e]] = int32(i)
		next[e]++
	}
}

// near calls found with each name whose key may be within slips slips of the pen
// of another key, and with all that are: found tells for certain. Either fewer
// than slips of them are in the first half of the key, which few beginnings
// allow, or the second half is right, which few endings are.
func (s *spellings) near(key string, slips int, found func(name int)) {
	half := len(key) / 2
	if len(key)-half < 2 {
		half = -1 // An end of one letter says too little: look at every beginning.
	}
	w := walk{spellings: s, key: key, half: half, slips: slips, found: found}
	for i := range w.rows {
		w.rows[i] = make([]int8, len(key)+1)
	}
	for j := range w.rows[1] {
		w.rows[1][j] = w.limited(j, int8(min(j, slips+1)))
	}
	w.below(0, len(s.town), 0)
	if half < 0 {
		return
	}
	e := ending([]byte(key))
	for _, i := range s.ending[s.endingAt[e]:s.endingAt[e+1]] {
		if bytes.HasSuffix(s.key(int(i)), []byte(key[half:])) {
			found(int(i))
		}
	}
}

// walk goes through the names that have a beginning in common at once, and leaves
// it where no end could mend what is wrong.
type walk struct {
	*spellings
	key   string
	half  int
	slips int
	found func(name int)
	// rows[d+1] is, for the beginning of d letters that is walked, the least number
	// of slips between it and each beginning of the key.
	rows [maxKey + 2][]int8
}

// maxKey is the length from which on keys are not told apart: no walk goes
// deeper.
const maxKey = 40

// few is how many names are looked at one by one rather than walked.
const few = 6

// below walks the names [from, to), which have depth letters in common.
func (w *walk) below(from, to, depth int) {
	if to-from <= few || depth >= maxKey {
		for i := from; i < to; i++ {
			w.found(i)
		}
		return
	}
	for from < to && len(w.spellings.key(from)) == depth {
		w.found(from)
		from++
	}
	for from < to {
		letter := w.spellings.key(from)[depth]
		end := from + sort.Search(to-from, func(i int) bool { return w.spellings.key(from + i)[depth] > letter })
		if w.step(from, depth) {
			w.below(from, end, depth+1)
		}
		from = end
	}
}

// step finds the row for one letter more, and tells whether it leads anywhere.
func (w *walk) step(name, depth int) bool {
	spelt := w.spellings.key(name)[:depth+1]
	last, row := w.rows[depth+1], w.rows[depth+2]
	row[0] = w.limited(0, last[0]+1)
	least := row[0]
	for j := range len(w.key) {
		d := min(row[j]+1, last[j+1]+1, last[j]+int8(differ(spelt[depth], w.key[j])))
		if depth > 0 && j > 0 && spelt[depth] == w.key[j-1] && spelt[depth-1] == w.key[j] {
			d = min(d, w.rows[depth][j-1]+1)
		}
		row[j+1] = w.limited(j+1, d)
		least = min(least, row[j+1])
		if int(last[j]) < w.slips && j+1 < len(w.key) && spelt[depth] == w.key[j+1] {
			least = min(least, last[j]+1) // The next letter may be swapped with this.
		}
	}
	return int(least) <= w.slips
}

// limited is a number of slips up to the letter j of the key, or too many.
func (w *walk) limited(j int, slips int8) int8 {
	limit := w.slips
	if j <= w.half {
		limit--
	}
	if int(slips) > limit {
		return int8(w.slips + 1)
	}
	return slips
}
