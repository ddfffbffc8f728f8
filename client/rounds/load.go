package rounds

import (
	"cmp"
	"slices"

	"heirpress/client/rigging"
)

// leastPeople is how many lift and load at the least: nobody works alone with
// machines or on a ramp. Common practice, without a source.
const leastPeople = 2

// roundOf is one trip of a brief as a round.
func roundOf(c Caller, b *rigging.Brief, t rigging.Trip) Round {
	r := Round{
		Caller: c.Name, Town: c.Town, Vehicle: b.Vehicle.Kind, Assumed: b.Vehicle.Assumed,
		PayloadKg: b.Vehicle.PayloadKg, LoadKg: t.LoadKg, People: leastPeople, PeopleCome: int(c.Kit.GetPeople()),
	}
	if c.Road != nil && !c.Road.None {
		r.RoadKm = c.Road.Km
	}
	for _, a := range inOrder(t.Articles) {
		r.Load = append(r.Load, Piece{a.Name, a.Tags, a.MassKg})
		if a.Pallet {
			r.ClearFirst = a.Tags
		}
	}
	on := r.tags()
	for _, tag := range b.Load.Unweighed {
		if on[tag] {
			r.Unweighed = append(r.Unweighed, tag)
		}
	}
	r.gear(b, t, on)
	for _, reason := range b.Riggers.Reasons {
		if reason, holds := within(reason, on); holds {
			r.Riggers = append(r.Riggers, reason)
		}
	}
	return r
}

// inOrder is the order in which things go on the deck: from its front to its back
// where they have places there, else the heaviest first; boxes last.
func inOrder(articles []rigging.Article) []rigging.Article {
	all := slices.Clone(articles)
	slices.SortStableFunc(all, func(a, b rigging.Article) int {
		if a.Pallet != b.Pallet && a.XMm == b.XMm {
			return map[bool]int{true: 1, false: -1}[a.Pallet]
		}
		return cmp.Or(cmp.Compare(a.XMm, b.XMm), cmp.Compare(b.MassKg, a.MassKg))
	})
	return all
}

func (r *Round) tags() map[string]bool {
	on := map[string]bool{}
	for _, p := range r.Load {
		for _, tag := range p.Tags {
			on[tag] = true
		}
	}
	return on
}

// gear adds the people and the things that it takes.
func (r *Round) gear(b *rigging.Brief, t rigging.Trip, on map[string]bool) {
	rolls := 0.0
	for _, h := range b.Handling {
		if on[h.Tag] {
			rolls, r.People = max(rolls, h.MassKg), max(r.People, h.People)
		}
	}
	add := func(g Gear, needed bool) {
		if needed {
			r.Gear = append(r.Gear, g)
		}
	}
	pallets := 0
	for _, a := range t.Articles {
		if a.Pallet {
			pallets++
		}
	}
	add(Gear{Name: "machine dolly or skates", LeastKg: rolls}, rolls > 0)
	add(Gear{Name: "planks, bars and blocks to take the weight off by hand's breadths", LeastKg: rolls}, rolls > 0)
	add(Gear{Name: "pallets, with small strong boxes", Count: pallets}, pallets > 0)
	add(Gear{Name: "pallet jack", LeastKg: heaviestPallet(t)}, pallets > 0)
	add(Gear{Name: "tiedowns", Count: t.TiesNeeded}, t.TiesNeeded > 0)
	add(Gear{Name: "gloves, damp cloths and water to wash: there is lead"}, slices.ContainsFunc(b.Hazards, func(h rigging.Hazard) bool {
		return h.Lead && slices.ContainsFunc(h.Tags, func(tag string) bool { return on[tag] })
	}))
}

func heaviestPallet(t rigging.Trip) (kg float64) {
	for _, a := range t.Articles {
		if a.Pallet {
			kg = max(kg, a.MassKg)
		}
	}
	return kg
}

// within is a reason as far as it is about what is on a round. One that is about the
// site holds for every round.
func within(reason rigging.RiggerReason, on map[string]bool) (rigging.RiggerReason, bool) {
	if len(reason.Tags) == 0 {
		return reason, true
	}
	reason.Tags = slices.DeleteFunc(slices.Clone(reason.Tags), func(tag string) bool { return !on[tag] })
	return reason, len(reason.Tags) > 0
}
