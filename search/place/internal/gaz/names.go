package gaz

import (
	"bytes"
	"sort"
)

// Named is the run of towns [from, to) whose name has the key.
func (f *File) Named(key string) (from, to int) {
	var buf [64]byte
	blocks := len(f.part[secBlocks]) / 3
	// The run may begin in the block before the first that begins with the key.
	block := sort.Search(blocks, func(i int) bool {
		return string(AppendKey(buf[:0], f.head(i))) >= key
	})
	from = max(block-1, 0) * blockTowns
	to = from
	f.Scan(from, f.Len(), func(town int, name []byte) bool {
		switch folded := AppendKey(buf[:0], string(name)); {
		case string(folded) < key:
			from, to = town+1, town+1
		case string(folded) == key:
			to = town + 1
		default:
			return false
		}
		return true
	})
	return from, to
}

// head is the first name of a block.
func (f *File) head(block int) string {
	return prefixed(f.part[secNames][f.blockAt(block)+1:])
}

func (f *File) blockAt(block int) int { return number(f.part[secBlocks][3*block:], 3) }

// Name is the name of a town, as it is written there.
func (f *File) Name(town int) string {
	var found string
	f.Scan(town-town%blockTowns, town+1, func(t int, name []byte) bool {
		if t == town {
			found = string(name)
		}
		return true
	})
	return found
}

// Scan decodes the names of the towns [from, to) in order, until visit says to
// stop. It begins at the block that holds from; the name is only lent.
func (f *File) Scan(from, to int, visit func(town int, name []byte) bool) {
	from -= from % blockTowns
	if from >= to {
		return
	}
	var name bytes.Buffer
	s := f.part[secNames][f.blockAt(from/blockTowns):]
	for town := from; town < to; town++ {
		name.Truncate(int(s[0]))
		name.WriteString(prefixed(s[1:]))
		s = s[2+int(s[1]):]
		if !visit(town, name.Bytes()) {
			return
		}
	}
}
