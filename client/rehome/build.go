package rehome

import (
	"math"
	"slices"
	"strings"

	"heirpress/search/trade"
)

// draft is a problem with what its numbers stand for.
type draft struct {
	in      *Input
	home    int64
	seekers []*seeker
	groups  []group
	problem problem
	// deals stand beside the problem's options.
	deals []deal
	// best is the best candidate of each lot with each seeker that may have it.
	best map[[2]int]*Candidate
	// bars is why a lot cannot go to a seeker that asks for it.
	bars map[[2]int]string
	lot  map[string]int // by resource name or tag
}

// deal is what an option stands for.
type deal struct {
	// candidates are those of each lot of the option; nil for a lot that was not
	// asked for.
	candidates []*Candidate
	// extra are points for a wish and not for a home.
	extra int64
}

// group is lots that are to go to one home.
type group struct {
	lots   []int
	must   bool
	points int64
	words  string
}

func newDraft(in *Input) (*draft, error) {
	t := tableOf(in)
	d := &draft{in: in, home: in.Wishes.home(), best: map[[2]int]*Candidate{}, bars: map[[2]int]string{}, lot: map[string]int{}}
	for i, l := range in.Lots {
		d.lot[keyOf(l)] = i
	}
	var err error
	if d.seekers, err = in.seekers(t); err != nil {
		return nil, err
	}
	if d.groups, err = in.groups(t); err != nil {
		return nil, err
	}
	d.problem.lots = len(in.Lots)
	for _, s := range d.seekers {
		d.problem.seekers = append(d.problem.seekers, limits{len(s.list.GetWants()), s.budget, s.carry()})
	}
	d.singles()
	for _, g := range d.groups {
		d.offerGroup(g)
	}
	return d, nil
}

func (in *Input) groups(t table) ([]group, error) {
	var all []group
	in2 := map[int]bool{}
	for _, w := range in.Wishes.Together {
		g := group{must: w.Must, points: w.Points, words: strings.Join(w.Tags, ", ")}
		wish := "together: " + g.words
		for _, tag := range w.Tags {
			l, err := t.lot(wish, tag)
			if err != nil {
				return nil, err
			}
			if in2[l] {
				return nil, &WishError{wish, "lot " + tag + " is to go together with others already: put them all in one wish"}
			}
			in2[l] = true
			g.lots = append(g.lots, l)
		}
		if len(g.lots) < 2 {
			return nil, &WishError{wish, "name two lots or more, by their tags"}
		}
		slices.Sort(g.lots)
		all = append(all, g)
	}
	return all, nil
}

// singles makes an option of every candidate that nothing bars.
func (d *draft) singles() {
	number := map[string]int{}
	for i, s := range d.seekers {
		number[s.list.GetName()+"\n"+s.list.GetTitle()] = i
	}
	bound := d.bound()
	for i := range d.in.Candidates {
		c := &d.in.Candidates[i]
		s := number[c.List.GetName()+"\n"+c.List.GetTitle()]
		l := d.lot[keyOf(c.Lot)]
		if why := d.bar(s, c); why != "" {
			d.bars[[2]int{l, s}] = why
			continue
		}
		if b := d.best[[2]int{l, s}]; b == nil || c.Fit.GetScore() > b.Fit.GetScore() {
			d.best[[2]int{l, s}] = c
		}
		if !bound[l] {
			d.add(s, []int{l}, []*Candidate{c}, 0)
		}
	}
}

// bound are the lots that go only with others.
func (d *draft) bound() map[int]bool {
	all := map[int]bool{}
	for _, g := range d.groups {
		for _, l := range g.lots {
			all[l] = all[l] || g.must
		}
	}
	return all
}

func (d *draft) bar(s int, c *Candidate) string {
	if why := d.seekers[s].bar(d.in, c.Lot); why != "" {
		return why
	}
	return d.wishBars(s, c)
}

func (d *draft) offerGroup(g group) {
	for s := range d.seekers {
		candidates, ok := d.groupFor(s, g)
		if !ok {
			continue
		}
		extra := g.points
		if g.must {
			extra = 0
		}
		d.add(s, g.lots, candidates, extra)
	}
}

// groupFor is the best candidate of each lot of a group with a seeker. It returns
// false where the seeker asks for none of them, or cannot have one.
func (d *draft) groupFor(s int, g group) (candidates []*Candidate, ok bool) {
	for _, l := range g.lots {
		c := d.best[[2]int{l, s}]
		if c == nil && (d.bars[[2]int{l, s}] != "" || d.seekers[s].bar(d.in, d.in.Lots[l]) != "") {
			return nil, false
		}
		ok = ok || c != nil
		candidates = append(candidates, c)
	}
	return candidates, ok
}

// add makes an option of lots going to a seeker. Lots that were not asked for
// count nothing until the seeker says yes. extra are points for a wish.
func (d *draft) add(s int, lots []int, candidates []*Candidate, extra int64) {
	o := option{seeker: s, lots: lots}
	seeker := d.seekers[s]
	for i, l := range lots {
		lot := d.in.Lots[l]
		o.price += seeker.cost(lot)
		o.weight += grams(lot)
		c := candidates[i]
		if c == nil {
			continue
		}
		o.points += d.home + fitPoints(c)
		extra += seeker.prefer
		if w := seeker.wants[c.Want.GetId()]; !slices.Contains(o.wants, w) {
			o.wants = append(o.wants, w)
		}
	}
	if o.points += extra; o.points > 0 {
		d.problem.options = append(d.problem.options, o)
		d.deals = append(d.deals, deal{candidates, extra})
	}
}

func fitPoints(c *Candidate) int64 { return int64(math.Round(c.Fit.GetScore())) }

// solve is the best answer to a draft, and what it comes to without the points
// for wishes.
func (d *draft) solve(stop Stop) (answer, int64) {
	a := d.problem.solve(stop)
	plain := a.points
	for _, i := range a.chosen {
		plain -= d.deals[i].extra
	}
	return a, plain
}

// wishBars is why the keeper's wishes keep a lot from a seeker.
func (d *draft) wishBars(s int, c *Candidate) string {
	w := d.in.Wishes
	switch {
	case c.Fit.GetScore() < w.LeastFit:
		return "the fit is below what you wish for"
	case w.OwnKitOnly && handles(d.seekers[s], c) == trade.No:
		return "they would need hired help to move it, and you wish for none"
	}
	return ""
}
