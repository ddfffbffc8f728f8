package trade

import (
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// Share is how complete a lot is, in [0, 1].
type Share struct {
	// Low is what it is if everything unknown is missing, High if all of it is
	// there, and Mid in the middle.
	Low, Mid, High float64
	// Reasons says what counts, in plain words.
	Reasons []string
	// Ask is what is not known, as questions to the keeper.
	Ask []string
}

// Weights within completeness. Design choices.
const (
	// soundWeight is how much being sound counts, to the parts' 1.
	soundWeight = 0.25
	// oddsWeight is how much small things that no list has count, of the parts.
	oddsWeight = 0.05
	// mustKeeps is what is left of a lot that has none of what it must have.
	mustKeeps = 0.5
	// textWeight is how much setting the text counts, of the sorts.
	textWeight = 0.75
)

// Completeness tells how much of a lot is there for somebody who must have
// certain parts, and a text to set (both may be empty).
//
// A machine is judged by its class's parts, each weighed by how hard it is to
// replace; a fount by its sorts against the scheme it was sold by, and by the
// text. Being sound counts for a fifth. Every part that must be there and is not
// takes its share of half the result.
//
// What nobody has said parts Low from High: for every way in which the unknown
// could turn out, the result then lies between the two. Nothing is ever more
// complete for missing more.
func Completeness(lot *pb.Lot, mustHave []string, textToSet string) Share {
	share := HowComplete(lot, mustHave, textToSet)
	for _, u := range Unknowns(lot, mustHave, textToSet) {
		if u.Completeness {
			share.Ask = append(share.Ask, u.Question)
		}
	}
	return share
}

// HowComplete is Completeness without Ask, for whoever puts many cases.
func HowComplete(lot *pb.Lot, mustHave []string, textToSet string) Share {
	a := &account{lot: lot}
	share := a.share(mustHave, textToSet)
	share.Reasons = a.reasons
	return share
}

// Shares is HowComplete without the reasons, for whoever puts very many.
func Shares(lot *pb.Lot, mustHave []string, textToSet string) Share {
	a := &account{lot: lot, mute: true}
	return a.share(mustHave, textToSet)
}

func (a *account) share(mustHave []string, textToSet string) Share {
	var m mean
	m.add(a.whole(textToSet), 1)
	m.add(a.sound(), soundWeight)
	s := m.value().times(a.musts(mustHave).atLeast(mustKeeps))
	return Share{Low: s.low, Mid: s.mid, High: s.high}
}

// account reckons completeness and keeps the reasons, unless it is mute.
type account struct {
	lot     *pb.Lot
	reasons []string
	mute    bool
}

func (a *account) say(format string, args ...any) {
	if a.mute {
		return
	}
	a.reasons = append(a.reasons, fmt.Sprintf(format, args...))
}

// whole is how much of the thing is there.
func (a *account) whole(text string) span {
	if f, ok := fountOf(a.lot); ok {
		return a.fount(f, text)
	}
	if classless(a.lot) {
		return a.unlisted()
	}
	return a.parts()
}

// unlisted is for a lot whose class, and so whose parts, are not known.
func (a *account) unlisted() span {
	p := a.lot.GetParts()
	switch {
	case p.GetRestComplete() && len(p.GetMissing()) == 0:
		a.say("the keeper has checked: nothing is missing")
		return surely(1)
	case len(p.GetMissing()) > 0:
		a.say("missing: %s", strings.Join(p.GetMissing(), ", "))
	}
	a.say("its class is not known, so its parts cannot be listed")
	return anything
}

// have says whether a part is there.
func have(part Part, i int, p *pb.Parts, missing, onHand []int, c pb.Condition) Answer {
	switch {
	case slices.Contains(missing, i):
		return No
	case slices.Contains(onHand, i), p.GetRestComplete(), part.Essential && works(c):
		return Yes
	}
	return Unknown
}

// works tells whether a machine in that condition has its essential parts.
func works(c pb.Condition) bool {
	return c == pb.Condition_CONDITION_WORKING || c == pb.Condition_CONDITION_NEEDS_CARE
}

// parts weighs the parts of the class's list, and what is missing beyond it.
func (a *account) parts() span {
	list, p := classParts[a.lot.GetClass()], a.lot.GetParts()
	missing, odd := match(a.lot.GetClass(), p.GetMissing())
	onHand, _ := match(a.lot.GetClass(), a.onHand())
	var m mean
	var unsaid []string
	for i, part := range list {
		switch have(part, i, p, missing, onHand, a.lot.GetCondition()) {
		case Yes:
			m.add(surely(1), part.Hard)
		case No:
			m.add(surely(0), part.Hard)
		default:
			m.add(anything, part.Hard)
			unsaid = append(unsaid, part.Name)
		}
	}
	m.add(a.odds(odd), max(m.weight*oddsWeight, 1))
	a.sayParts(p, unsaid)
	return m.value()
}

func (a *account) sayParts(p *pb.Parts, unsaid []string) {
	if a.mute {
		return
	}
	if n := p.GetMissing(); len(n) > 0 {
		a.say("missing: %s", strings.Join(n, ", "))
	}
	switch {
	case p.GetRestComplete() && len(p.GetMissing()) == 0:
		a.say("the keeper has checked: nothing is missing")
	case p.GetRestComplete():
		a.say("the keeper has checked: the rest is there")
	case p == nil:
		a.say("nobody has said whether anything is missing")
	case len(unsaid) > 0:
		a.say("not said whether these are there: %s", listed(unsaid))
	}
}

// onHand is what is there, the drive of a press among it.
func (a *account) onHand() []string {
	on := a.lot.GetParts().GetOnHand()
	switch a.lot.GetPress().GetDrive() {
	case pb.Drive_DRIVE_TREADLE:
		return append(slices.Clone(on), "treadle")
	case pb.Drive_DRIVE_MOTOR:
		return append(slices.Clone(on), "motor")
	}
	return on
}

// odds is the share for things that no list has: each one missing counts less
// than the one before.
func (a *account) odds(missing int) span {
	most := 1 / float64(1+missing)
	if a.lot.GetParts().GetRestComplete() {
		return surely(most)
	}
	return between(0, most)
}

// match finds which parts of a class's list the words name, and how many of the
// words name none.
func match(c pb.Class, words []string) (found []int, odd int) {
	for _, w := range words {
		if i := wordingOf(c, w).part; i >= 0 {
			found = append(found, i)
		} else {
			odd++
		}
	}
	return found, odd
}

// soundness is how much of being sound each condition is. A design choice.
var soundness = map[pb.Condition]float64{
	pb.Condition_CONDITION_WORKING:      1,
	pb.Condition_CONDITION_NEEDS_CARE:   0.8,
	pb.Condition_CONDITION_NEEDS_REPAIR: 0.35,
	pb.Condition_CONDITION_FOR_PARTS:    0,
}

func (a *account) sound() span {
	v, ok := soundness[a.lot.GetCondition()]
	if !ok {
		a.say("its condition is not said")
		return anything
	}
	a.say("condition: %s", ConditionWord(a.lot.GetCondition()))
	return surely(v)
}

// musts is the share of what must be there that is.
func (a *account) musts(mustHave []string) span {
	var m mean
	for _, must := range mustHave {
		switch HasPart(a.lot, must) {
		case Yes:
			m.add(surely(1), 1)
			a.say("has %s, which must be there", must)
		case No:
			m.add(surely(0), 1)
			a.say("lacks %s, which must be there", must)
		default:
			m.add(anything, 1)
			a.say("not said whether it has %s, which must be there", must)
		}
	}
	return m.value()
}

// HasPart tells whether a lot has something, in whatever words it is asked for.
func HasPart(lot *pb.Lot, must string) Answer {
	if f, ok := fountOf(lot); ok {
		if g, ok := groupWords[folded(must)]; ok {
			return f.has(g)
		}
	}
	a, p, asked := account{lot: lot}, lot.GetParts(), wordingOf(lot.GetClass(), must)
	same := func(word string) bool { return wordingOf(lot.GetClass(), word).samePart(asked) }
	switch {
	case slices.ContainsFunc(p.GetMissing(), same):
		return No
	case slices.ContainsFunc(a.onHand(), same), p.GetRestComplete():
		return Yes
	case asked.part >= 0 && classParts[lot.GetClass()][asked.part].Essential && works(lot.GetCondition()):
		return Yes
	}
	return Unknown
}
