package rounds

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	"heirpress/client/rigging"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

var monday = &pb.Date{Year: 2026, Month: 11, Day: 30}

func press(tag string, kg float64) *pb.Lot {
	return &pb.Lot{Tag: tag, Title: "A press", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER, Weight: &pb.Weight{MassKg: proto.Float64(kg)}}
}

func typeOf(tag string, kg float64) *pb.Lot {
	return &pb.Lot{Tag: tag, Title: "Roman", Kind: pb.Kind_KIND_METAL_TYPE, Weight: &pb.Weight{MassKg: proto.Float64(kg)}}
}

func kit(people int32, payloadKg float64) *pb.Kit {
	return &pb.Kit{People: proto.Int32(people), VehiclePayloadKg: proto.Float64(payloadKg), DollyKg: proto.Float64(1000)}
}

// someInput draws callers with lots of every weight, some not known, with days and
// without, kits that say something or nothing.
func someInput(t *rapid.T) Input {
	in := Input{Shop: "Marrowby", First: monday, PerDay: rapid.IntRange(0, 3).Draw(t, "per day")}
	n := 0
	for c := range rapid.IntRange(0, 4).Draw(t, "callers") {
		caller := Caller{Name: fmt.Sprint("Caller ", c)}
		for range rapid.IntRange(0, 6).Draw(t, "lots") {
			n++
			l := press(fmt.Sprint("L", n), 0)
			if rapid.Bool().Draw(t, "type") {
				l = typeOf(l.GetTag(), 0)
			}
			l.Weight = nil
			if kg := rapid.IntRange(0, 1500).Draw(t, "kg"); kg > 0 {
				l.Weight = &pb.Weight{MassKg: proto.Float64(float64(kg))}
			}
			if rapid.Bool().Draw(t, "has a day") {
				l.ClearBy = &pb.Date{Year: 2026, Month: 12, Day: rapid.Int32Range(1, 6).Draw(t, "day")}
			}
			caller.Lots = append(caller.Lots, l)
		}
		if rapid.Bool().Draw(t, "has a kit") {
			caller.Kit = kit(rapid.Int32Range(1, 5).Draw(t, "people"), rapid.Float64Range(300, 3000).Draw(t, "payload"))
		}
		if rapid.Bool().Draw(t, "road known") {
			km := rapid.Float64Range(0, 3000).Draw(t, "km")
			caller.Road = &place.Road{Km: km, LowKm: km, HighKm: km}
		}
		in.Callers = append(in.Callers, caller)
	}
	return in
}

// What the package promises, of any input.
func TestPromises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := someInput(t)
		p := Make(in)
		told := map[string]bool{}
		for _, m := range p.TooMuch {
			for _, name := range m.Names {
				told[name] = true
			}
		}
		lastDay, lastOf, onDay, trips := "", map[string]string{}, map[string]int{}, map[string]int{}
		for _, r := range p.Rounds {
			for _, piece := range r.Load {
				for _, tag := range piece.Tags {
					told[tag] = true
				}
			}
			if r.Day < lastDay || r.Day < "2026-11-30" {
				t.Errorf("%s after %s", r.Day, lastDay)
			}
			if onDay[r.Day]++; onDay[r.Day] > max(1, in.PerDay) {
				t.Errorf("%d on %s", onDay[r.Day], r.Day)
			}
			if r.Late != (r.ClearBy != "" && r.Day > r.ClearBy) {
				t.Errorf("on %s, clear by %s, late %v", r.Day, r.ClearBy, r.Late)
			}
			if r.PayloadKg > 0 && r.LoadKg > r.PayloadKg {
				t.Errorf("%v kg on %v", r.LoadKg, r.PayloadKg)
			}
			if r.People < leastPeople {
				t.Errorf("%d people", r.People)
			}
			c := in.Callers[slices.IndexFunc(in.Callers, func(c Caller) bool { return c.Name == r.Caller })]
			if before := lastOf[r.Caller]; before != "" {
				at, _ := time.Parse(time.DateOnly, before)
				if r.Day < at.AddDate(0, 0, c.back()).Format(time.DateOnly) {
					t.Errorf("%s on %s and again on %s, %d days away", r.Caller, before, r.Day, c.back())
				}
			}
			if trips[r.Caller]++; r.Trip != trips[r.Caller] || r.Trip > r.Trips {
				t.Errorf("%s: trip %d of %d comes as the %d.", r.Caller, r.Trip, r.Trips, trips[r.Caller])
			}
			lastDay, lastOf[r.Caller] = r.Day, r.Day
		}
		for _, c := range in.Callers {
			for _, l := range c.Lots {
				// What is boxed goes on pallets; a pallet that is too much is named as one.
				if !told[l.GetTag()] && !told["Pallet"] && !told["Pallet 1"] {
					t.Errorf("%s is lost", l.GetTag())
				}
			}
		}
		if !reflect.DeepEqual(p, Make(in)) {
			t.Error("the same input gives another plan")
		}
		if _, err := json.Marshal(p); err != nil {
			t.Error(err)
		}
	})
}

// Against every order there is: where each comes once, no order of days is late by
// less than the plan's.
func TestNoOrderIsLateLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first := trade.DayOf(monday)
		var all []*job
		for c := range rapid.IntRange(1, 6).Draw(t, "jobs") {
			j := &job{caller: c, back: 1}
			if day := rapid.IntRange(-1, 5).Draw(t, "due"); day >= 0 {
				j.due = first.AddDate(0, 0, day)
			}
			all = append(all, j)
		}
		perDay := rapid.IntRange(1, 2).Draw(t, "per day")
		lateness := func(order []*job, day func(i int) time.Time) (worst time.Duration) {
			for i, j := range order {
				if !j.due.IsZero() {
					worst = max(worst, day(i).Sub(j.due))
				}
			}
			return worst
		}
		done := schedule(all, first, perDay)
		got := lateness(done, func(i int) time.Time { return done[i].day })
		for _, order := range orders(all) {
			if best := lateness(order, func(i int) time.Time { return first.AddDate(0, 0, i/perDay) }); best < got {
				t.Fatalf("late by %v, and could be by %v", got, best)
			}
		}
	})
}

// orders are all orders of some jobs.
func orders(all []*job) [][]*job {
	if len(all) == 0 {
		return [][]*job{nil}
	}
	var out [][]*job
	for i := range all {
		for _, rest := range orders(slices.Concat(all[:i:i], all[i+1:])) {
			out = append(out, append([]*job{all[i]}, rest...))
		}
	}
	return out
}

func TestRounds(t *testing.T) {
	day := func(l *pb.Lot, d int32) *pb.Lot {
		l.ClearBy = &pb.Date{Year: 2026, Month: 12, Day: d}
		return l
	}
	p := Make(Input{Shop: "Marrowby Job Printing", First: monday, Callers: []Caller{
		{Name: "Two Stoats", Town: "Pittsburgh, PA", Kit: kit(2, 1500), Road: &place.Road{Km: 400, HighKm: 450},
			Lots: []*pb.Lot{day(press("P1", 900), 4), day(press("P2", 1000), 4), day(typeOf("T1", 200), 4)}},
		{Name: "Brambleway", Kit: kit(4, 1200), Lots: []*pb.Lot{day(typeOf("T2", 300), 4)}},
		{Name: "Spare room", Kit: kit(1, 300), Lots: []*pb.Lot{day(press("P3", 900), 2)}},
		{Name: "Nobody", Lots: nil},
	}})
	var who []string
	for _, r := range p.Rounds {
		who = append(who, r.Day+" "+r.Caller)
	}
	// Both of the Two Stoats' are due on the 4th, the first of them a day sooner.
	if want := []string{"2026-11-30 Two Stoats", "2026-12-01 Brambleway", "2026-12-02 Two Stoats"}; !slices.Equal(who, want) {
		t.Errorf("%v, want %v", who, want)
	}
	if len(p.TooMuch) != 1 || p.TooMuch[0].Caller != "Spare room" || !slices.Equal(p.TooMuch[0].Names, []string{"P3"}) {
		t.Errorf("%v", p.TooMuch)
	}
	first := p.Rounds[slices.IndexFunc(p.Rounds, func(r Round) bool { return r.Load[0].Name == "P2" })]
	if first.Load[0].Name != "P2" || !slices.Contains(first.ClearFirst, "T1") || first.Load[len(first.Load)-1].Name != "Pallet" {
		t.Errorf("load %v, first out %v: the heaviest goes on first, and boxes out first and on last", first.Load, first.ClearFirst)
	}
	if len(first.Riggers) == 0 {
		t.Error("a press of a ton, and no word of riggers")
	}
}

// The words have all that must be said, once.
func TestText(t *testing.T) {
	in := Input{Shop: "Marrowby", First: monday, Callers: []Caller{
		{Name: "Two Stoats", Town: "Pittsburgh, PA", Kit: kit(1, 1500), Lots: []*pb.Lot{press("P1", 1200), typeOf("T1", 200)}},
		{Name: "Spare room", Lots: []*pb.Lot{{Tag: "P9", Title: "A press", Kind: pb.Kind_KIND_PRESS}}},
	}}
	var out bytes.Buffer
	if err := Text(&out, Make(in), trade.US); err != nil {
		t.Fatal(err)
	}
	for _, says := range []string{
		"Pick-up rounds of Marrowby: 3 rounds.", "Monday 2026-11-30: ", "Pittsburgh, PA", "Vehicle: carries 3,", "as they say",
		"Out first, to the door, so that the way is clear: T1", "Call professional riggers: ", "and 1 come: find", "P9, whose weight nobody knows",
		"Bring: machine dolly or skates, for 2,", "Bring: gloves", "Lead and dust", "how many come is not said", "Ask Two Stoats:",
	} {
		if !strings.Contains(out.String(), says) {
			t.Errorf("it does not say %q:\n%s", says, out.String())
		}
	}
	for _, c := range rigging.Plan(nil, nil).Cautions {
		if strings.Count(out.String(), c) != 1 {
			t.Errorf("%d times: %s", strings.Count(out.String(), c), c)
		}
	}
	for _, never := range []string{"safe to", "is safe", "you may"} {
		if strings.Contains(strings.ToLower(out.String()), never) {
			t.Errorf("it says %q", never)
		}
	}
}
