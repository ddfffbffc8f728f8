package search

import (
	"cmp"
	"math"
	"slices"

	"heirpress/search/place"
)

// To list the nearest, the way to far towns need not be known. look finds the
// way to as many towns as hold enough of what was found, from the nearest in a
// straight line outward, ring by ring, until no town further out can be nearer
// by road. Lots in towns that have no way then are beyond the page.
func (r *run) look() {
	enough := r.query.Limit + 1
	l := &outlook{
		run: r, center: r.filter.near.Unit(), band: r.generation.columns.towns.northward(),
		near: nearest{enough: enough, kept: make([]stop, 0, enough)},
	}
	if l.walks = r.isDense(enough); !l.walks {
		l.counts = r.countTowns()
	}
	for inner := 0.0; !l.near.isCertain(inner) && inner < farthestKm; {
		outer := max(firstRingKm, 2*inner)
		l.over(inner, outer)
		inner = outer
	}
	switch {
	case !l.near.isFull():
		r.survey.roadKm(0) // What is in no town comes last, and is on the page too.
	case l.walks:
		r.walked = l.seen
	}
}

// outlook is looking outward for the nearest.
type outlook struct {
	run    *run
	center place.Unit
	band   *band
	near   nearest
	// walks tells that lots are looked for town by town; otherwise counts has how
	// many there are in each.
	walks  bool
	counts []uint32
	// seen are the towns whose ways are known.
	seen []uint32
}

// over looks over a ring, as far as that is needed.
func (l *outlook) over(fromKm, toKm float64) {
	for _, town := range l.ring(fromKm, toKm) {
		if l.near.isCertain(town.km) {
			return
		}
		lots := l.lotsIn(town.number)
		if lots == 0 {
			continue
		}
		km, known := l.run.survey.roadKmWithin(town.number, l.near.limitKm())
		if !known {
			continue // It is beyond the page.
		}
		l.seen = append(l.seen, town.number)
		l.near.add(stop{km: km, lots: lots})
	}
}

// lotsIn is how many of the lots found are in a town.
func (l *outlook) lotsIn(town uint32) (lots int) {
	if !l.walks {
		return int(l.counts[town])
	}
	for _, s := range l.run.scopes {
		s.eachIn(town, func(uint32) { lots++ })
	}
	return lots
}

// isDense tells whether enough of what was found is sooner met by going through
// all lots of the nearest towns than by going through all that was found: where
// there are many times more lots found than so many towns hold.
func (r *run) isDense(enough int) bool {
	found := 0
	for _, s := range r.scopes {
		if s.found == nil {
			return false // They are listed already.
		}
		found += s.count()
	}
	return float64(found)*float64(found) > walkWorth*float64(enough)*float64(r.all)
}

// walkWorth is how many times dearer it is to look whether a lot of a town was
// found, with the lots of towns looked at in vain, than to count one that was. It
// was measured at a million lots, and need not be near.
const walkWorth = 8

// countTowns counts what was found town by town, by the towns' numbers.
func (r *run) countTowns() []uint32 {
	counts := make([]uint32, len(r.survey.ways))
	for _, s := range r.scopes {
		s.list()
		for _, doc := range s.docs {
			counts[s.towns.of[doc]]++
		}
	}
	return counts
}

// eachIn shows the documents found in a town.
func (s *scope) eachIn(town uint32, visit func(doc uint32)) {
	for _, doc := range s.towns.in(town) {
		if s.found.Contains(doc) {
			visit(doc)
		}
	}
}

const (
	// firstRingKm is wide enough for most pages in lands full of presses.
	firstRingKm = 120
	// farthestKm is more than half round the Earth.
	farthestKm = 20_100
)

// ringTown is a town of a ring, and how far it is in a straight line.
type ringTown struct {
	km     float64
	number uint32
}

// mayHave is false for a town that has no lot, or has come since the search began.
func (l *outlook) mayHave(town uint32) bool {
	return int(town) < len(l.run.survey.towns) && (l.walks || l.counts[town] > 0)
}

// ring lists the towns that are from so far to less than so far in a straight
// line, the nearest first; without those that are known to have no lot.
func (l *outlook) ring(fromKm, toKm float64) []ringTown {
	var towns []ringTown
	from := chord2(fromKm)
	l.band.eachAbout(l.center, toKm, func(town uint32, unit place.Unit) {
		if l.center.Chord2(unit) >= from && l.mayHave(town) {
			towns = append(towns, ringTown{place.StraightKm(l.center, unit), town})
		}
	})
	slices.SortFunc(towns, func(a, b ringTown) int { return cmp.Compare(a.km, b.km) })
	return towns
}

// chord2 is the square of the chord, on a globe of radius 1, that goes with a
// great circle; more than any for what is longer than half round the Earth.
func chord2(km float64) float64 {
	angle := km / place.EarthRadiusKm
	if angle > math.Pi*(1+1e-9) {
		return math.Inf(1)
	}
	half := math.Sin(angle / 2)
	return 4 * half * half
}

// stop is how far a town is by road, and how many lots were found in it.
type stop struct {
	km   float64
	lots int
}

// nearest keeps the nearest towns by road that hold enough lots.
type nearest struct {
	enough int
	kept   []stop // the nearest first
	lots   int    // in kept, of towns that a road leads to
}

// add takes a town in, and lets go of those that are not needed beside it.
func (n *nearest) add(s stop) {
	if s.km > maxWayKm {
		return
	}
	at := len(n.kept)
	for at > 0 && n.kept[at-1].km > s.km {
		at--
	}
	n.kept = slices.Insert(n.kept, at, s)
	n.lots += s.lots
	for last := len(n.kept) - 1; last > 0 && n.lots-n.kept[last].lots >= n.enough; last-- {
		n.lots -= n.kept[last].lots
		n.kept = n.kept[:last]
	}
}

// maxWayKm is longer than any way by road.
const maxWayKm = 1e6

func (n *nearest) isFull() bool { return n.lots >= n.enough }

// limitKm is beyond what nothing is needed.
func (n *nearest) limitKm() float64 {
	if !n.isFull() {
		return math.Inf(1)
	}
	return n.kept[len(n.kept)-1].km
}

// isCertain tells whether a town so far in a straight line, and all beyond it,
// are further by road than all that is needed.
func (n *nearest) isCertain(straightKm float64) bool {
	return n.isFull() && straightKm*place.MinCircuity()*(1-1e-6) > n.kept[len(n.kept)-1].km
}
