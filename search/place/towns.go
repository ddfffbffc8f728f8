package place

import "iter"

// Towns gives every town of the gazetteer, in an order that is always the same.
// Places known only from the post are left out.
func Towns() iter.Seq[Town] {
	return func(yield func(Town) bool) {
		g := gazetteer()
		for town := range g.Len() {
			if !g.Record(town).Postal && !yield(townAt(town)) {
				return
			}
		}
	}
}
