package rigging

import (
	"cmp"
	"slices"
)

// Lashing is how one article is held.
type Lashing struct {
	// Blocked is true if it stands against a headerboard.
	Blocked bool `json:"blocked,omitempty"`
	// Ties is the least number of tiedowns, by length, weight and blocking.
	Ties int `json:"ties"`
	// NeededKg is the aggregate working load limit; 0 where the weight is not
	// known.
	NeededKg float64 `json:"neededKg,omitempty"`
	// Used are the tiedowns taken from what there is, all of them run over to
	// the other side; absent where nobody has said what there is.
	Used []Used `json:"used,omitempty"`
	// ShortTies and ShortKg are what is still wanting.
	ShortTies int     `json:"shortTies,omitempty"`
	ShortKg   float64 `json:"shortKg,omitempty"`
	// BrakingKg and BendKg are the forces at 0.8 g forward and 0.5 g sideways.
	BrakingKg float64 `json:"brakingKg,omitempty"`
	BendKg    float64 `json:"bendKg,omitempty"`
}

// Used is how many of one kind of tiedown are used.
type Used struct {
	Name  string  `json:"name"`
	Count int     `json:"count"`
	WLLKg float64 `json:"wllKg"`
}

// lash works out what holds each article, and shares out the tiedowns that there
// are: to the heaviest first, and to each the weakest that will do.
func (t *Trip) lash(v *Vehicle) {
	left := slices.Clone(v.Tiedowns)
	slices.SortStableFunc(left, func(a, b Gear) int { return cmp.Compare(b.WLLKg, a.WLLKg) })
	order := make([]int, len(t.Articles))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(t.Articles[b].MassKg, t.Articles[a].MassKg) })
	for _, i := range order {
		a := &t.Articles[i]
		a.Lashing = a.lashing(v)
		if v.Tiedowns != nil {
			a.Lashing.use(left)
			t.TiesShort += a.Lashing.ShortTies
		}
		t.TiesNeeded += a.Lashing.Ties
	}
}

// lashing is what an article needs.
func (a *Article) lashing(v *Vehicle) Lashing {
	l := Lashing{
		Blocked:  v.Headerboard != nil && *v.Headerboard && v.deckKnown() && a.XMm == 0,
		NeededKg: NeededKg(a.MassKg),
	}
	l.Ties = TiedownCount(a.LengthMm, a.MassKg, l.Blocked)
	forces := BreakingForces.On(a.MassKg)
	l.BrakingKg, l.BendKg = forces.Forward, forces.Sideways
	return l
}

// use takes tiedowns out of what is left, which is strongest first, until both
// the number and the working load limits are met, or nothing is left. It takes
// the weakest that is enough for its share of what is wanting, or the strongest.
func (l *Lashing) use(left []Gear) {
	ties, counted := 0, 0.0
	for ties < l.Ties || counted < l.NeededKg*(1-hair) {
		share := (l.NeededKg - counted) / float64(max(l.Ties-ties, 1))
		at := pick(left, share)
		if at < 0 {
			break
		}
		left[at].Count--
		ties++
		counted += Tiedown{left[at].WLLKg, Over}.CountedKg()
		l.count(left[at])
	}
	l.ShortTies = max(l.Ties-ties, 0)
	l.ShortKg = max(l.NeededKg-counted, 0)
}

// pick finds the weakest kind that counts so much, or the strongest there is; -1
// if nothing is left.
func pick(left []Gear, kg float64) int {
	best := -1
	for i, g := range left {
		if g.Count > 0 && (best < 0 || g.WLLKg >= kg*(1-hair)) {
			best = i
		}
	}
	return best
}

func (l *Lashing) count(g Gear) {
	for i := range l.Used {
		if l.Used[i].Name == g.Name && l.Used[i].WLLKg == g.WLLKg {
			l.Used[i].Count++
			return
		}
	}
	l.Used = append(l.Used, Used{g.Name, 1, g.WLLKg})
}
