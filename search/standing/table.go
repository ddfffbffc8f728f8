package standing

import "slices"

// A table files wants under hashes. Two keys with one hash share a place, which
// costs a second look and no more: whatever is found is judged by its own facts.
//
// It is cut in shards, each of which grows by itself, so that no single filing
// waits for all the rest to be moved.
type table struct {
	shards [shards]shard
	// many are the lists of places where several wants are filed.
	many slots[[]filing]
}

// filing is a want under a hash: its number, and above it a hint by which most
// that cannot be meant are told without a look at the want. A want that is alone
// under its hash has no hint.
type filing uint64

func newFiling(want uint32, h hint) filing { return filing(want) | filing(h)<<32 }

func (f filing) want() uint32 { return uint32(f) }

func (f filing) hint() hint { return hint(f >> 32) }

// shard is a hash table with open addressing. A slot is the low half of a hash
// above what is filed there: 0 for nothing, a want's number and 1, or, with the
// top bit, the number of a list.
type shard struct {
	slots []uint64
	used  int
}

const (
	shards     = 256
	shardShift = 56
	leastSlots = 8
	manyBit    = 1 << 31
)

// hashOf mixes two numbers into one whose bits all hang on both.
func hashOf(a, b uint64) uint64 { return mix(mix(a+0x9e3779b97f4a7c15) ^ b) }

// mix is the finalizer of SplitMix64 (Steele, Lea and Flood, 2014; from memory).
func mix(x uint64) uint64 {
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	return x ^ x>>31
}

// home is where a hash would best stand. Shards have any size, not only powers
// of two, so that they can grow by half.
func (s *shard) home(low uint32) int { return int(uint64(low) * uint64(len(s.slots)) >> 32) }

// find returns the slot of a hash, or the free one where it would be, and what
// is filed there.
func (s *shard) find(hash uint64) (slot int, filed uint32) {
	low := uint32(hash)
	for i := s.home(low); ; i = s.after(i) {
		if filed := uint32(s.slots[i]); filed == 0 || uint32(s.slots[i]>>32) == low {
			return i, filed
		}
	}
}

func (s *shard) after(slot int) int {
	if slot++; slot < len(s.slots) {
		return slot
	}
	return 0
}

func (s *shard) set(slot int, hash uint64, filed uint32) {
	s.slots[slot] = hash<<32 | uint64(filed)
}

// makeRoom sees to it that at most seven slots in eight are used after one more,
// and, where much was taken out, that not too many stand idle.
func (s *shard) makeRoom() {
	switch size := len(s.slots); {
	case (s.used+1)*8 > size*7:
		s.resize(max(leastSlots, size*3/2))
	case size > leastSlots && s.used*4 < size:
		s.resize(max(leastSlots, size/2))
	}
}

func (s *shard) resize(size int) {
	old := s.slots
	s.slots = make([]uint64, size)
	for _, slot := range old {
		if filed := uint32(slot); filed != 0 {
			hash := slot >> 32
			at, _ := s.find(hash)
			s.set(at, hash, filed)
		}
	}
}

// clear empties a slot, and moves up those that stand behind it because it was
// taken.
func (s *shard) clear(slot int) {
	s.used--
	for next := s.after(slot); uint32(s.slots[next]) != 0; next = s.after(next) {
		if home := s.home(uint32(s.slots[next] >> 32)); !between(slot, home, next) {
			s.slots[slot], slot = s.slots[next], next
		}
	}
	s.slots[slot] = 0
}

// between tells whether home lies after slot and not after next, going round.
func between(slot, home, next int) bool {
	if slot < next {
		return slot < home && home <= next
	}
	return slot < home || home <= next
}

// add files a want under a hash.
func (t *table) add(hash uint64, f filing) {
	s := &t.shards[hash>>shardShift]
	s.makeRoom()
	slot, filed := s.find(hash)
	switch {
	case filed == 0:
		s.used++
		s.set(slot, hash, f.want()+1)
	case filed&manyBit == 0:
		s.set(slot, hash, t.many.keep([]filing{newFiling(filed-1, 0), f})|manyBit)
	default:
		list := &t.many.all[filed&^manyBit]
		*list = append(*list, f)
	}
}

// remove takes out one filing of a want under a hash, which must be there.
func (t *table) remove(hash uint64, want uint32) {
	s := &t.shards[hash>>shardShift]
	slot, filed := s.find(hash)
	if filed&manyBit == 0 {
		s.clear(slot)
		return
	}
	n := filed &^ manyBit
	list := t.many.all[n]
	i, last := slices.IndexFunc(list, func(f filing) bool { return f.want() == want }), len(list)-1
	list[i] = list[last]
	list = list[:last]
	if last > 1 {
		t.many.all[n] = shrunk(list)
		return
	}
	s.set(slot, hash, list[0].want()+1)
	t.many.free(n)
}

// shrunk gives back room that a list has not needed for long.
func shrunk(list []filing) []filing {
	if cap(list) > 8 && len(list) < cap(list)/4 {
		return append(make([]filing, 0, 2*len(list)), list...)
	}
	return list
}

// under returns the wants that are filed under a hash, and perhaps others. one is
// room for a single one; what is returned is only good until the next filing.
func (t *table) under(hash uint64, one *[1]filing) []filing {
	s := &t.shards[hash>>shardShift]
	if s.used == 0 {
		return nil
	}
	switch _, filed := s.find(hash); {
	case filed == 0:
		return nil
	case filed&manyBit == 0:
		one[0] = newFiling(filed-1, 0)
		return one[:]
	default:
		return t.many.all[filed&^manyBit]
	}
}
