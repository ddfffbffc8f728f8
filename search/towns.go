package search

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"sync"
	"sync/atomic"

	"heirpress/search/place"
)

// townTable numbers the towns that lots stand in, over all segments. Number 0
// is no town. It only grows: there are never more than there are towns.
type townTable struct {
	mu      sync.Mutex
	numbers map[string]uint32
	towns   []*numbered
	units   []place.Unit // of the towns
	band    *band        // of so many towns as it has
}

// band is towns from south to north.
type band struct {
	numbers []uint32
	units   []place.Unit // beside the numbers
}

// numbered is a town of the table.
type numbered struct {
	point place.Point
	once  sync.Once
	spot  *place.Spot
}

// onRoads is the town among the roads. It is looked up once for all searches,
// and not before a search needs it: with all towns, the first search would wait.
func (n *numbered) onRoads() *place.Spot {
	n.once.Do(func() { n.spot = place.SpotOf(n.point) })
	return n.spot
}

// number is the number of a town as its column has it.
func (t *townTable) number(written string) uint32 {
	t.mu.Lock()
	defer t.mu.Unlock()
	if n, ok := t.numbers[written]; ok {
		return n
	}
	point, known := readTown(written)
	if !known {
		return 0
	}
	if t.numbers == nil {
		t.numbers, t.towns, t.units = map[string]uint32{}, make([]*numbered, 1), make([]place.Unit, 1)
	}
	n := uint32(len(t.towns))
	t.numbers[written] = n
	t.towns, t.units = append(t.towns, &numbered{point: point}), append(t.units, point.Unit())
	return n
}

// all is the towns numbered so far.
func (t *townTable) all() []*numbered {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.towns[:len(t.towns):len(t.towns)]
}

// northward is all towns numbered so far, from south to north. They are put in
// order again only when there are more.
func (t *townTable) northward() *band {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.band == nil || len(t.band.numbers)+1 < len(t.units) {
		t.band = newBand(t.units)
	}
	return t.band
}

func newBand(units []place.Unit) *band {
	b := new(band)
	for n := 1; n < len(units); n++ {
		b.numbers = append(b.numbers, uint32(n))
	}
	slices.SortFunc(b.numbers, func(m, n uint32) int { return cmp.Compare(units[m][northern], units[n][northern]) })
	for _, n := range b.numbers {
		b.units = append(b.units, units[n])
	}
	return b
}

// northern is the coordinate of a unit that grows to the north.
const northern = 2

// eachAbout shows the towns that are less than so far from a point in a straight
// line, from south to north.
func (b *band) eachAbout(center place.Unit, km float64, visit func(town uint32, unit place.Unit)) {
	limit := chord2(km)
	reach := math.Sqrt(limit) // No such town is further north or south.
	south := sort.Search(len(b.units), func(i int) bool { return b.units[i][northern] >= center[northern]-reach })
	for i, unit := range b.units[south:] {
		if unit[northern] > center[northern]+reach {
			return
		}
		if center.Chord2(unit) < limit {
			visit(b.numbers[south+i], unit)
		}
	}
}

// survey is how far the towns are from a filter's place. Each is measured once
// in a search, when the first lot in it comes along, by whoever meets it.
type survey struct {
	filter *Filter
	towns  []*numbered
	origin *place.Origin // of the filter's place
	// ways has for each town 0 where it has not been measured, noRoad, or the
	// bits of its kilometres plus one.
	ways []atomic.Uint64
	// about are the towns that a road within the filter's reach may lead to: those
	// near enough in a straight line.
	about []bool
}

const noRoad = math.MaxUint64

// newSurvey makes a survey of the towns numbered so far, if the filter has a
// place.
func newSurvey(f *Filter, table *townTable) *survey {
	if f.near == nil {
		return &survey{filter: f}
	}
	v := &survey{filter: f, origin: place.From(*f.near)}
	v.towns = table.all()
	v.ways = make([]atomic.Uint64, max(len(v.towns), 1))
	if f.withinKm > 0 {
		v.about = make([]bool, len(v.ways))
		center := f.near.Unit()
		table.northward().eachAbout(center, f.straightKm()*(1+1e-6), func(town uint32, _ place.Unit) {
			if int(town) < len(v.about) {
				v.about[town] = true
			}
		})
	}
	return v
}

// reaches tells whether a town is within the filter's reach.
func (v *survey) reaches(town uint32) bool {
	return v.about[town] && v.roadKm(town) <= v.filter.withinKm
}

// roadKm is how far a town is by road: infinity where no road leads there, or
// there is no town.
func (v *survey) roadKm(town uint32) float64 {
	way := v.ways[town].Load()
	if way == 0 {
		way = v.measure(town)
		v.ways[town].Store(way)
	}
	if way == noRoad {
		return math.Inf(1)
	}
	return math.Float64frombits(way - 1)
}

// roadKmWithin is roadKm where that is at most so far. Where it is further it may
// be left unknown.
func (v *survey) roadKmWithin(town uint32, most float64) (km float64, known bool) {
	if !v.isMeasured(town) {
		if _, known := v.origin.KmWithin(v.towns[town].onRoads(), most); !known {
			return math.Inf(1), false
		}
	}
	return v.roadKm(town), true
}

// isMeasured tells whether it is known already how far a town is.
func (v *survey) isMeasured(town uint32) bool { return v.ways[town].Load() != 0 }

func (v *survey) measure(town uint32) uint64 {
	if town == 0 {
		return noRoad
	}
	km := v.origin.Km(v.towns[town].onRoads())
	if math.IsInf(km, 1) {
		return noRoad
	}
	return math.Float64bits(km) + 1
}

// reach is the way to a town in full.
func (v *survey) reach(town uint32) reach {
	if town == 0 || v.filter.near == nil {
		return reach{}
	}
	return v.filter.reachOf(v.towns[town].point, v.origin.Road(v.towns[town].point))
}
