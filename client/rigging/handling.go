package rigging

import (
	"cmp"
	"slices"
)

// Handling is how hard one thing is to roll, to push up a ramp and to sling. It
// is planned whole, at the upper end of its weight; a type cabinet empty.
type Handling struct {
	Tag    string  `json:"tag"`
	MassKg float64 `json:"massKg"`
	// StartKg and KeepKg are the push on a hard level floor, in kilograms of
	// force, and People how many that takes.
	StartKg float64 `json:"startKg"`
	KeepKg  float64 `json:"keepKg"`
	People  int     `json:"people"`
	// Ramps are the pushes up slopes, once it rolls.
	Ramps []RampPush `json:"ramps"`
	// Slings are the pulls in each of two legs.
	Slings []SlingPull `json:"slings"`
	// Exceeds names the kit that is rated for less.
	Exceeds []Rated `json:"exceeds,omitempty"`
	// TooFew is true where it takes more people than come.
	TooFew bool `json:"tooFewPeople,omitempty"`
	// Beyond is true where nothing that rolls and was named is rated for it.
	Beyond bool `json:"beyond,omitempty"`
}

// RampPush is the push up a slope.
type RampPush struct {
	Slope  Slope   `json:"slope"`
	PushKg float64 `json:"pushKg"`
}

// SlingPull is the pull in each leg at an angle from the horizontal.
type SlingPull struct {
	Deg   float64 `json:"deg"`
	LegKg float64 `json:"legKg"`
}

// Rated is a piece of kit and what it is rated for.
type Rated struct {
	Name    string  `json:"name"`
	RatedKg float64 `json:"ratedKg"`
}

// planSlopes are the slopes that every brief gives, and planAngles the angles.
var (
	planSlopes = []Slope{{1, 12}, steepest}
	planAngles = []float64{60, 45, 30}
)

// handling covers what is too heavy for a box, heaviest first.
func (m *move) handling() []Handling {
	var all []Handling
	for _, u := range m.each() {
		if u.rollKg > aloneKg {
			all = append(all, m.handle(u))
		}
	}
	return all
}

func (m *move) handle(u unit) Handling {
	h := Handling{Tag: u.tag, MassKg: u.rollKg, KeepKg: Flat.push(u.rollKg, rollHigh)}
	h.StartKg = startTimes * h.KeepKg
	h.People = pushers(h.StartKg, h.KeepKg)
	for _, s := range m.slopes() {
		h.Ramps = append(h.Ramps, RampPush{s, s.push(u.rollKg, rollHigh)})
	}
	for _, deg := range planAngles {
		leg, _ := Sling{Legs: 2, Deg: deg, Rigid: true}.LegKg(u.rollKg)
		h.Slings = append(h.Slings, SlingPull{deg, leg})
	}
	for _, r := range m.kit() {
		if u.rollKg > r.RatedKg {
			h.Exceeds = append(h.Exceeds, r)
		}
	}
	rolls := max(m.site.Kit.GetDollyKg(), m.site.Kit.GetPalletJackKg(), m.site.Kit.GetForkliftKg())
	h.Beyond = rolls > 0 && u.rollKg > rolls
	h.TooFew = m.site.Kit != nil && m.site.Kit.People != nil && h.People > int(m.site.Kit.GetPeople())
	return h
}

// slopes are those of the plan and of the site, each once, gentlest first.
func (m *move) slopes() []Slope {
	all := slices.Clone(planSlopes)
	for _, e := range []End{m.site.From, m.site.To} {
		if e.Ramp != nil && !slices.Contains(all, *e.Ramp) {
			all = append(all, *e.Ramp)
		}
	}
	slices.SortFunc(all, func(a, b Slope) int { return cmp.Compare(a.Deg(), b.Deg()) })
	return all
}

// kit is the kit that is there and rated.
func (m *move) kit() []Rated {
	k := m.site.Kit
	var all []Rated
	add := func(name string, kg *float64) {
		if kg != nil && *kg > 0 {
			all = append(all, Rated{name, *kg})
		}
	}
	if k != nil {
		add("dolly", k.DollyKg)
		add("pallet jack", k.PalletJackKg)
		add("hoist", k.HoistKg)
		add("forklift", k.ForkliftKg)
		add("liftgate", k.LiftgateKg)
	}
	return all
}
