package standing

import (
	"math"
	"math/bits"
)

// hint is what of a want rules out most lots: the kind it asks for, if that is
// one, and tags of its two rarest words besides that it is filed under. 0 in any
// of the three rules out nothing.
type hint uint32

const (
	tagBits    = 12
	tagMask    = 1<<tagBits - 1
	kindShift  = 2 * tagBits
	hintsWords = (1 << tagBits) / 64
)

// tagOf is a number from 1 that stands for a word, and for others too.
func tagOf(word uint32) hint { return hint(word%tagMask) + 1 }

// hintOf is the hint of a want that has chosen what it is filed under.
func (w *Wants) hintOf(one *want) hint {
	var h hint
	if bits.OnesCount16(one.kinds) == 1 {
		h = hint(bits.TrailingZeros16(one.kinds)) << kindShift
	}
	first := w.rarestBut(one, int(one.filed), -1)
	if first < 0 {
		return h
	}
	h |= tagOf(one.words[first])
	if second := w.rarestBut(one, int(one.filed), first); second >= 0 {
		h |= tagOf(one.words[second]) << tagBits
	}
	return h
}

// rarestBut is the place among a want's first words of the rarest but for two;
// -1 if there is no other.
func (w *Wants) rarestBut(one *want, not, nor int) int {
	best, fewest := -1, uint32(math.MaxUint32)
	for i, word := range one.words[:one.count] {
		if uses := w.words.all[word].uses; i != not && i != nor && uses < fewest {
			best, fewest = i, uses
		}
	}
	return best
}

// hints tells of each tag whether a lot has a word of it.
type hints [hintsWords]uint64

func newHints(words []uint32) (h hints) {
	for _, word := range words {
		tag := tagOf(word)
		h[tag/64] |= 1 << (tag % 64)
	}
	return h
}

// has tells whether a lot may have the word of a tag.
func (h *hints) has(tag hint) bool { return tag == 0 || h[tag/64]&(1<<(tag%64)) != 0 }

// couldMeet tells whether a hint leaves it open that the lot meets a want.
func (l *lot) couldMeet(h hint) bool {
	if kind := h >> kindShift; kind != 0 && l.kinds&(1<<kind) == 0 {
		return false
	}
	return l.hints.has(h&tagMask) && l.hints.has(h>>tagBits&tagMask)
}
