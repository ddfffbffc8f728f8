package standing

// lists numbers the lists that stand, so that a want need hold only half of the
// caller's number.
type lists struct {
	slots[list]
	numbers map[uint64]uint32
}

type list struct {
	name  uint64 // the caller's number
	first uint32 // its first want, and 1
	count uint16 // of its wants
}

func newLists() lists { return lists{numbers: map[uint64]uint32{}} }

func (l *lists) add(name uint64, count uint16) uint32 {
	n := l.keep(list{name: name, count: count})
	l.numbers[name] = n
	return n
}

func (l *lists) drop(n uint32) {
	delete(l.numbers, l.all[n].name)
	l.free(n)
}
