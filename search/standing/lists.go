package standing

// lists numbers the lists that stand, so that a want need hold only half of the
// caller's number.
type lists struct {
	numbers map[uint64]uint32
	all     []list
	spare   []uint32
}

type list struct {
	name  uint64 // the caller's number
	first uint32 // its first want, and 1
	count uint16 // of its wants
}

func newLists() lists { return lists{numbers: map[uint64]uint32{}} }

func (l *lists) add(name uint64, count uint16) uint32 {
	var n uint32
	if last := len(l.spare) - 1; last >= 0 {
		n, l.spare = l.spare[last], l.spare[:last]
	} else {
		n = uint32(len(l.all))
		l.all = append(l.all, list{})
	}
	l.all[n] = list{name: name, count: count}
	l.numbers[name] = n
	return n
}

func (l *lists) drop(n uint32) {
	delete(l.numbers, l.all[n].name)
	l.all[n] = list{}
	l.spare = append(l.spare, n)
}
