package rehome

import (
	"fmt"
	"math"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// seeker is a wanted list with what it can take.
type seeker struct {
	list     *pb.WantedList
	wants    map[string]int // by id
	currency string         // of the budget
	budget   int64          // thousandths, or none
	trips    int
	payload  *float64 // kg of one trip
	road     *place.Road
	prefer   int64
}

// How far one drives in a day. Common practice: about 45 miles an hour with stops
// in a loaded truck or trailer; ten hours are a long day (commercial drivers may
// drive eleven).
const (
	kmPerHour   = 45 * trade.KmPerMile
	hoursPerDay = 10
)

// fetchDays is how many days it takes to drive there and back; 1 where the way is
// not known.
func (s *seeker) fetchDays() int {
	if s.road == nil || s.road.None {
		return 1
	}
	return max(1, int(math.Ceil(2*s.road.HighKm/kmPerHour/hoursPerDay)))
}

// tripsBy is how many trips can be made before a day; as many as any, where the
// day or today is not known.
func (s *seeker) tripsBy(today, day *pb.Date) int {
	if today == nil || day == nil {
		return math.MaxInt32
	}
	return max(0, daysBetween(today, day)+1) / s.fetchDays()
}

func daysBetween(from, to *pb.Date) int {
	return int(trade.DayOf(to).Sub(trade.DayOf(from)).Hours() / 24)
}

// usualKg is what a lot counts for that nobody knows the weight of, and that
// cannot be estimated: the same as for the fit. A design choice.
const usualKg = 200

// grams is the weight of a lot as it is planned with: its upper end.
func grams(l *pb.Lot) int64 {
	kg := float64(usualKg)
	if e := trade.WeightOf(l); e.Known {
		kg = e.HighKg
	}
	return int64(math.Ceil(kg * 1000))
}

// thousandths is an amount in thousandths of its currency's unit, rounded up.
func thousandths(m *pb.Money) int64 {
	return m.GetUnits()*1000 + (int64(m.GetNanos())+999_999)/1_000_000
}

// cost is what a lot takes of a seeker's budget: nothing where no price is said,
// or one in another currency, which is told.
func (s *seeker) cost(l *pb.Lot) int64 {
	if l.GetPrice() == nil || l.GetPrice().GetCurrencyCode() != s.currency {
		return 0
	}
	return thousandths(l.GetPrice())
}

// carry is the payload of all trips in grams, or none. A payload of several trips
// is looked at as one: whether each trip can be loaded evenly is left to them.
func (s *seeker) carry() int64 {
	if s.payload == nil {
		return none
	}
	return int64(*s.payload * 1000 * float64(s.trips))
}

// bar is why a lot cannot go to a seeker; empty if it can.
func (s *seeker) bar(in *Input, l *pb.Lot) string {
	switch trips := s.tripsBy(in.Today, l.GetClearBy()); {
	case in.Today != nil && l.GetClearBy() != nil && daysBetween(in.Today, l.GetClearBy()) < 0:
		return "its clear-by day has passed"
	case s.road != nil && s.road.None:
		return "there is no road there"
	case trips == 0:
		return fmt.Sprintf("it takes %d days to fetch, and the clear-by day is nearer than that", s.fetchDays())
	case s.payload != nil && trade.MovesWhole(l) == trade.Yes && grams(l) > int64(*s.payload*1000):
		return "it is heavier than their vehicle carries"
	case s.payload != nil && grams(l) > s.carry():
		return "it is more than they can fetch in " + trade.FormatCount(s.trips, "trip")
	case s.budget != none && s.cost(l) > s.budget:
		return "it costs more than they can spend"
	}
	return ""
}

// seekers are the lists as seekers; roads come from the candidates, for all lots
// of a shop stand in one town.
func (in *Input) seekers(t table) ([]*seeker, error) {
	all := make([]*seeker, len(in.Lists))
	number := map[*pb.WantedList]int{}
	for i, l := range in.Lists {
		number[l] = i
		all[i] = &seeker{list: l, wants: map[string]int{}, trips: 1, budget: none, payload: kitPayload(l)}
		for k, w := range l.GetWants() {
			all[i].wants[w.GetId()] = k
		}
		all[i].spend(purseOf(l))
	}
	for _, c := range in.Candidates {
		if s := all[number[c.List]]; s.road == nil || c.Road != nil && c.Road.Km > s.road.Km {
			s.road = c.Road
		}
	}
	if err := in.tell(t, all); err != nil {
		return nil, err
	}
	for _, s := range all {
		s.trips = max(1, min(s.trips, s.tripsBy(in.Today, in.lastDay())))
	}
	return all, nil
}

// kitPayload is what a list's vehicle carries, in kilograms; nil if it does not say.
func kitPayload(l *pb.WantedList) *float64 {
	if l.GetKit() == nil {
		return nil
	}
	return l.Kit.VehiclePayloadKg
}

// tell adds what the wishes say of single seekers.
func (in *Input) tell(t table, all []*seeker) error {
	for _, p := range in.Wishes.Prefer {
		i, err := t.list("prefer", p.List)
		if err != nil {
			return err
		}
		all[i].prefer = p.Points
	}
	for _, l := range in.Wishes.Limits {
		i, err := t.list("seekers", l.List)
		if err != nil {
			return err
		}
		if l.Budget != nil {
			all[i].spend(l.Budget)
		}
		all[i].trips = max(1, l.Trips)
	}
	return nil
}

func (s *seeker) spend(m *pb.Money) {
	if m != nil {
		s.currency, s.budget = m.GetCurrencyCode(), m.GetUnits()*1000+int64(m.GetNanos())/1_000_000
	}
}

// purseOf is what a list can spend in all, as far as it says: its purse is for
// one lot, and nobody is asked for more than that without a word from them. A
// want that allows more allows it.
func purseOf(l *pb.WantedList) *pb.Money {
	purse := l.GetPurse()
	if purse == nil {
		return nil
	}
	for _, w := range l.GetWants() {
		m := w.GetFilter().GetMaxPrice()
		if m.GetCurrencyCode() == purse.GetCurrencyCode() && thousandths(m) > thousandths(purse) {
			purse = m
		}
	}
	return purse
}

// lastDay is the latest clear-by day of the lots; nil if one has none.
func (in *Input) lastDay() *pb.Date {
	var last *pb.Date
	for _, l := range in.Lots {
		d := l.GetClearBy()
		if d == nil {
			return nil
		}
		if last == nil || daysBetween(last, d) > 0 {
			last = d
		}
	}
	return last
}
