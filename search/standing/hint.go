package standing

// hint is what of a want rules out most lots: the kinds it asks for, a bit for
// each, and above them a tag of one of its words, other than that it is filed
// under. 0 in either rules out nothing.
type hint uint32

const tagShift = 16

func tagOf(word uint32) uint16 { return uint16(word)%(hintBits-1) + 1 }

// hintOf is the hint of a want that has chosen what it is filed under.
func (w *Wants) hintOf(one *want) hint {
	h := hint(one.kinds)
	for i, word := range one.words[:one.count] {
		if i != int(one.filed) {
			return h | hint(tagOf(word))<<tagShift
		}
	}
	return h
}

// hints tells of each tag whether a lot has a word of it.
type hints [hintBits / 64]uint64

const hintBits = 2048

func newHints(words []uint32) (h hints) {
	for _, word := range words {
		tag := tagOf(word)
		h[tag/64] |= 1 << (tag % 64)
	}
	return h
}

// couldMeet tells whether a hint leaves it open that the lot meets a want.
func (l *lot) couldMeet(h hint) bool {
	if kinds := uint16(h); kinds != 0 && kinds&l.kinds == 0 {
		return false
	}
	tag := uint16(h >> tagShift)
	return tag == 0 || l.hints[tag/64]&(1<<(tag%64)) != 0
}
