package rounds

import (
	"cmp"
	"math"
	"slices"
	"time"

	"heirpress/client/rigging"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// Caller is somebody who comes for lots.
type Caller struct {
	// Name is what they are called, and Town where they come from; empty if nobody
	// has said.
	Name, Town string
	// Lots are what they come for, each once.
	Lots []*pb.Lot
	// Kit is what they bring; nil if nobody has said.
	Kit *pb.Kit
	// Road is their way; nil if it is not known.
	Road *place.Road
}

// Input is all that a plan is made from.
type Input struct {
	// Shop is the shop's title.
	Shop string
	// Callers are who comes, each once.
	Callers []Caller
	// Site is what is known of the shop's end; nil if nobody has said.
	Site *rigging.Site
	// First is the first day on which anybody comes.
	First *pb.Date
	// PerDay is how many come on a day; less than 1 means 1.
	PerDay int
}

// Plan is who comes when.
type Plan struct {
	Shop string `json:"shop"`
	// Rounds are in the order of their days.
	Rounds []Round `json:"rounds"`
	// TooMuch is what no vehicle of its caller takes.
	TooMuch []TooMuch `json:"tooMuch,omitempty"`
	// Questions are those of the moving briefs, by caller.
	Questions []Questions `json:"questions,omitempty"`
	// Hazards are those of all that is moved, and Cautions the same for every load.
	Hazards  []rigging.Hazard `json:"hazards,omitempty"`
	Cautions []string         `json:"cautions"`
}

// Round is one drive of one caller.
type Round struct {
	Caller string `json:"caller"`
	Town   string `json:"town,omitempty"`
	// Day is when, as 2026-11-30; ClearBy the earliest clear-by day of what is on it.
	Day     string `json:"day"`
	ClearBy string `json:"clearBy,omitempty"`
	// Late is true where the day is after that.
	Late bool `json:"late,omitempty"`
	// Trip of Trips is which of the caller's drives it is.
	Trip  int `json:"trip"`
	Trips int `json:"trips"`
	// RoadKm is how far they come; absent if that is not known.
	RoadKm float64 `json:"roadKm,omitempty"`
	// Vehicle is theirs, or one that is assumed. PayloadKg is 0 where it is not
	// known; LoadKg is the upper end, without what nobody knows the weight of, which
	// Unweighed names.
	Vehicle   string   `json:"vehicle"`
	Assumed   bool     `json:"assumed,omitempty"`
	PayloadKg float64  `json:"payloadKg,omitempty"`
	LoadKg    float64  `json:"loadKg"`
	Unweighed []string `json:"unweighed,omitempty"`
	// ClearFirst are the tags of boxes and cases, which go out first, to the door;
	// Load is what then goes on the deck, in this order.
	ClearFirst []string `json:"clearFirst,omitempty"`
	Load       []Piece  `json:"load"`
	// People is how many it takes, and PeopleCome how many come; 0 where nobody has
	// said.
	People     int    `json:"people"`
	PeopleCome int    `json:"peopleCome,omitempty"`
	Gear       []Gear `json:"gear,omitempty"`
	// Riggers are the reasons to call professional riggers.
	Riggers []rigging.RiggerReason `json:"riggers,omitempty"`
}

// Piece is one thing on the deck: a machine, or a pallet of boxes and cases.
type Piece struct {
	Name string   `json:"name"`
	Tags []string `json:"tags"`
	// MassKg is 0 where it is not known.
	MassKg float64 `json:"massKg,omitempty"`
}

// Gear is something to bring.
type Gear struct {
	Name string `json:"name"`
	// LeastKg is what it is rated for at the least; 0 where that does not matter.
	LeastKg float64 `json:"leastKg,omitempty"`
	// Count is how many; 0 where that does not matter.
	Count int `json:"count,omitempty"`
}

// TooMuch is what is too heavy or too large for its caller's vehicle.
type TooMuch struct {
	Caller string   `json:"caller"`
	Names  []string `json:"names"`
}

// Questions are what to ask a caller.
type Questions struct {
	Caller string             `json:"caller"`
	Ask    []rigging.Question `json:"ask"`
}

// Make plans the rounds.
func Make(in Input) *Plan {
	p := &Plan{Shop: in.Shop, Rounds: []Round{}}
	var all []*job
	var everything []*pb.Lot
	for i, c := range in.Callers {
		if len(c.Lots) == 0 {
			continue
		}
		everything = append(everything, c.Lots...)
		brief := rigging.Plan(c.Lots, siteFor(in.Site, c.Kit))
		if names := brief.Vehicle.TooMuch; len(names) > 0 {
			p.TooMuch = append(p.TooMuch, TooMuch{c.Name, names})
		}
		if len(brief.Questions) > 0 {
			p.Questions = append(p.Questions, Questions{c.Name, brief.Questions})
		}
		all = append(all, jobs(i, c, brief)...)
	}
	whole := rigging.Plan(everything, in.Site)
	p.Hazards, p.Cautions = whole.Hazards, whole.Cautions
	for _, j := range schedule(all, trade.DayOf(in.First), max(1, in.PerDay)) {
		p.Rounds = append(p.Rounds, j.told())
	}
	return p
}

// siteFor is the shop's end with a caller's kit and vehicle.
func siteFor(s *rigging.Site, k *pb.Kit) *rigging.Site {
	site := &rigging.Site{Kit: k}
	if s != nil {
		site.From, site.Experienced = s.From, s.Experienced
	}
	if k != nil && k.VehiclePayloadKg != nil {
		site.Vehicle = &rigging.Vehicle{Kind: rigging.SomeVehicle, PayloadKg: k.VehiclePayloadKg}
	}
	return site
}

// How far one drives in a day. Common practice, as for the placement plan: about 45
// miles an hour with stops in a loaded truck or trailer, ten hours a day.
const (
	kmPerHour   = 45 * trade.KmPerMile
	hoursPerDay = 10
)

// back is after how many days a caller can be there again.
func (c Caller) back() int {
	if c.Road == nil || c.Road.None {
		return 1
	}
	return max(1, int(math.Ceil(2*c.Road.HighKm/kmPerHour/hoursPerDay)))
}

// A job is a round that has no day yet.
type job struct {
	caller int
	round  Round
	// due is the day by which it must be done so that it and all that come after it
	// are in time; the zero time if there is none.
	due   time.Time
	clear *pb.Date
	back  int
	// heaviestKg is the heaviest machine on it; 0 where there are only boxes.
	heaviestKg float64
	day        time.Time
}

// jobs are the rounds of a caller, in the order they drive them: what is due first
// first, and what is lighter before what is heavier.
func jobs(at int, c Caller, b *rigging.Brief) []*job {
	lots := map[string]*pb.Lot{}
	for _, l := range c.Lots {
		lots[l.GetTag()] = l
	}
	var all []*job
	for _, t := range b.Vehicle.Trips {
		j := &job{caller: at, back: c.back(), round: roundOf(c, b, t)}
		for _, a := range t.Articles {
			if !a.Pallet {
				j.heaviestKg = max(j.heaviestKg, a.MassKg)
			}
			for _, tag := range a.Tags {
				j.clearBy(lots[tag].GetClearBy())
			}
		}
		all = append(all, j)
	}
	slices.SortStableFunc(all, before)
	for n, j := range all {
		j.round.Trip, j.round.Trips = n+1, len(all)
	}
	leaveTime(all)
	return all
}

// leaveTime has each of a caller's rounds due early enough for the one after it.
func leaveTime(all []*job) {
	for n := len(all) - 2; n >= 0; n-- {
		next := all[n+1]
		if next.due.IsZero() {
			continue
		}
		if d := next.due.AddDate(0, 0, -next.back); all[n].due.IsZero() || d.Before(all[n].due) {
			all[n].due = d
		}
	}
}

func (j *job) clearBy(d *pb.Date) {
	if d != nil && (j.due.IsZero() || trade.DayOf(d).Before(j.due)) {
		j.due, j.clear = trade.DayOf(d), d
	}
}

// before orders rounds by when they should come.
func before(a, b *job) int {
	switch {
	case a.due.IsZero() != b.due.IsZero():
		return map[bool]int{true: 1, false: -1}[a.due.IsZero()]
	case !a.due.Equal(b.due):
		return a.due.Compare(b.due)
	}
	return cmp.Or(cmp.Compare(a.heaviestKg, b.heaviestKg), cmp.Compare(a.caller, b.caller), cmp.Compare(a.round.Trip, b.round.Trip))
}

// schedule gives every round a day, so many a day, and returns them in that order.
func schedule(all []*job, first time.Time, perDay int) []*job {
	var done []*job
	free := map[int]time.Time{} // from when on a caller can come
	waiting := slices.Clone(all)
	slices.SortStableFunc(waiting, before)
	for day := first; len(waiting) > 0; day = day.AddDate(0, 0, 1) {
		for range perDay {
			i := slices.IndexFunc(waiting, func(j *job) bool { return !free[j.caller].After(day) })
			if i < 0 {
				break
			}
			j := waiting[i]
			j.day, free[j.caller] = day, day.AddDate(0, 0, j.back)
			waiting, done = slices.Delete(waiting, i, i+1), append(done, j)
		}
	}
	return done
}

// told is the round with its day.
func (j *job) told() Round {
	r := j.round
	r.Day = j.day.Format(time.DateOnly)
	if j.clear != nil {
		r.ClearBy = trade.DayOf(j.clear).Format(time.DateOnly)
		r.Late = j.day.After(trade.DayOf(j.clear))
	}
	return r
}
