package standing

// slots numbers things from 0 on, and gives the number of one that is gone to the
// next.
type slots[T any] struct {
	all   []T
	spare []uint32 // the numbers that are free
}

// keep numbers one thing more.
func (s *slots[T]) keep(one T) uint32 {
	if last := len(s.spare) - 1; last >= 0 {
		n := s.spare[last]
		s.spare = s.spare[:last]
		s.all[n] = one
		return n
	}
	s.all = append(s.all, one)
	return uint32(len(s.all) - 1)
}

// free lets go of the thing of a number.
func (s *slots[T]) free(n uint32) {
	var none T
	s.all[n] = none
	s.spare = append(s.spare, n)
}
