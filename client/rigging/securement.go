package rigging

import (
	"math"

	"heirpress/search/trade"
)

// Cargo securement: 49 CFR 393.100-136, read in the 2015 edition. The rules bind
// commercial vehicles; private ones fall under state law. They are used here as
// the least that will do.

// Edition is said wherever the rules are used.
const Edition = "49 CFR 393, read in the 2015 edition: check today's text"

// Forces that a lashed load has to be held against, in g: 393.102(a)(1), at
// which nothing may break, and (a)(2), at which nothing may go beyond its working
// load limit.
var (
	BreakingForces = Forces{Forward: 0.8, Rearward: 0.5, Sideways: 0.5}
	WorkingForces  = Forces{Forward: 0.435, Rearward: 0.5, Sideways: 0.25}
)

// DownForce is the share of its weight that an article that is not contained has
// to be held down with: 393.102(b).
const DownForce = 0.20

// Forces are accelerations in g.
type Forces struct{ Forward, Rearward, Sideways float64 }

// On is what the forces come to on a load, in kilograms of force.
func (f Forces) On(massKg float64) Forces {
	return Forces{f.Forward * massKg, f.Rearward * massKg, f.Sideways * massKg}
}

// Path is how a tiedown runs.
type Path int

const (
	// Over runs over or around the load to the other side of the vehicle.
	Over Path = iota
	// Direct runs from the vehicle to the load.
	Direct
	// SameSide runs through or around the load and back to the same side.
	SameSide
)

// Tiedown is one strap, chain or rope in use.
type Tiedown struct {
	// WLLKg is the working load limit in kilograms: that of its weakest part.
	WLLKg float64
	Path  Path
}

// CountedKg is how much of its working load limit a tiedown adds to the
// aggregate: all of one that runs over to the other side, half of any other.
// 393.106(d).
func (t Tiedown) CountedKg() float64 {
	if t.Path == Over {
		return t.WLLKg
	}
	return t.WLLKg / 2
}

// AggregateKg is what tiedowns count together, in kilograms.
func AggregateKg(ts []Tiedown) float64 {
	sum := 0.0
	for _, t := range ts {
		sum += t.CountedKg()
	}
	return sum
}

// NeededKg is the aggregate working load limit that a load needs, in kilograms:
// half its weight. 393.106(d).
func NeededKg(massKg float64) float64 { return massKg / 2 }

// Lengths and weights of 393.110, in its own feet and pounds.
const (
	shortMm   = 5 * footMm
	sectionMm = 10 * footMm
	lightKg   = 1100 * trade.KgPerPound
	footMm    = 12 * trade.MmPerInch
)

// hair is a share so small that a figure within it of a bound is the bound: what
// converting units can cost.
const hair = 1e-9

// TiedownCount is the least number of tiedowns for an article of a length along
// the vehicle, by 393.110. Not blocked against moving forward: one up to 5 ft and
// 1,100 lb; two if heavier, or up to 10 ft; and one more for each further 10 ft
// or part of it. Blocked: one for each 10 ft or part of it.
func TiedownCount(lengthMm, massKg float64, blocked bool) int {
	sections := int(math.Ceil(lengthMm / sectionMm * (1 - hair)))
	switch {
	case blocked:
		return max(sections, 1)
	case lengthMm <= shortMm*(1+hair) && massKg <= lightKg*(1+hair):
		return 1
	}
	return max(sections, 1) + 1
}

// Machinery of 393.130 has wheels or tracks and weighs 10,000 lb or more: it
// needs this many tiedowns. A press on a skid is no such thing.
const (
	wheeledMachineryKg   = 10_000 * trade.KgPerPound
	wheeledMachineryTies = 4
)

// MachineryTies is the least number of tiedowns for machinery on its own wheels
// or tracks: four from 10,000 lb, and none of its own below that.
func MachineryTies(massKg float64, wheeled bool) int {
	if wheeled && massKg >= wheeledMachineryKg*(1-hair) {
		return wheeledMachineryTies
	}
	return 0
}

// FrictionMatShare is the share of the weight on it that a friction mat without a
// rating is taken to resist: 393.108.
const FrictionMatShare = 0.5

// WeakestKg is the working load limit of a tiedown made of several parts: strap,
// ratchet, hook and anchor. No parts, no limit: 0.
func WeakestKg(parts ...float64) float64 {
	if len(parts) == 0 {
		return 0
	}
	least := math.Inf(1)
	for _, p := range parts {
		least = min(least, p)
	}
	return least
}
