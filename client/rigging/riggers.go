package rigging

import (
	"slices"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Riggers says whether what is known calls for professional riggers.
type Riggers struct {
	// Reasons are those that hold for this load and site.
	Reasons []RiggerReason `json:"reasons,omitempty"`
	// Choosing says how to choose them. No firm is ever named.
	Choosing []string `json:"choosing"`
}

// RiggerReason is a reason to call them: common practice, without a source.
type RiggerReason struct {
	Code RiggerCode `json:"code"`
	// Tags are the lots it holds for; empty where it is about the site.
	Tags []string `json:"tags,omitempty"`
}

// RiggerCode is which reason it is.
type RiggerCode string

// Reasons to call professional riggers.
const (
	HeavyOnSteps  RiggerCode = "heavyOnSteps"
	VeryHeavy     RiggerCode = "veryHeavy"
	RiggerClass   RiggerCode = "riggerClass"
	LiftingGear   RiggerCode = "liftingGear"
	TopHeavy      RiggerCode = "topHeavy"
	LiveSupply    RiggerCode = "liveSupply"
	UnknownGround RiggerCode = "unknownFloor"
	Inexperienced RiggerCode = "inexperienced"
	DoorTooSmall  RiggerCode = "doorTooSmall"
	BeyondKit     RiggerCode = "beyondKit"
)

// veryHeavyKg is a piece that is riggers' work anywhere: 2,500 lb. narrowMm is a
// base that is narrow for a top-heavy machine: 30 in. topHeavyKg keeps that to
// machines that people could not hold: a design choice.
const (
	veryHeavyKg = 2500 * trade.KgPerPound
	narrowMm    = 30 * trade.MmPerInch
	topHeavyKg  = 500 * trade.KgPerPound
)

func (m *move) riggers(b *Brief) Riggers {
	r := Riggers{Choosing: choosing()}
	add := func(code RiggerCode, tags []string) {
		if len(tags) > 0 {
			r.Reasons = append(r.Reasons, RiggerReason{code, tags})
		}
	}
	heavy := m.tagsOf(func(u unit) bool { return u.pieceKg > heavyKg })
	add(VeryHeavy, m.tagsOf(func(u unit) bool { return u.pieceKg > veryHeavyKg }))
	add(RiggerClass, m.riggerClass())
	if m.offGround() {
		add(HeavyOnSteps, heavy)
	}
	add(DoorTooSmall, doorsTooSmall(b.Ends))
	add(BeyondKit, beyondKit(b.Handling))
	add(TopHeavy, m.topHeavy())
	add(LiveSupply, m.lotTags(func(l *pb.Lot) bool { return threePhase(l) || directCurrent(l) }))
	if m.site.From.Ground == UnknownFloor || m.site.To.Ground == UnknownFloor {
		add(UnknownGround, heavy)
	}
	if m.site.Kit.GetForkliftKg() > 0 || m.site.Kit.GetHoistKg() > 0 {
		r.Reasons = append(r.Reasons, RiggerReason{Code: LiftingGear})
	}
	if e := m.site.Experienced; e != nil && !*e {
		r.Reasons = append(r.Reasons, RiggerReason{Code: Inexperienced})
	}
	return r
}

// tagsOf are the tags of the lots with a unit of that sort.
func (m *move) tagsOf(is func(unit) bool) []string {
	var tags []string
	for _, u := range m.each() {
		if is(u) {
			tags = append(tags, u.tag)
		}
	}
	return tags
}

func (m *move) lotTags(is func(*pb.Lot) bool) []string {
	var tags []string
	for i, lot := range m.lots {
		if is(lot) {
			tags = append(tags, m.items[i].Tag)
		}
	}
	return tags
}

func (m *move) riggerClass() []string {
	return m.lotTags(func(lot *pb.Lot) bool {
		p, ok := trade.PlanOf(lot)
		return ok && p.Rigger
	})
}

// offGround tells whether a load goes over steps, or to or from another floor.
func (m *move) offGround() bool {
	for _, e := range []End{m.site.From, m.site.To} {
		if n, _ := e.steps(); n > 0 || e.Level == Basement || e.Level == UpperLevel {
			return true
		}
	}
	return false
}

func doorsTooSmall(ends []EndCheck) []string {
	var tags []string
	for _, e := range ends {
		for _, d := range e.Doors {
			for _, n := range slices.Concat(d.TooWide, d.TooHigh) {
				if !slices.Contains(tags, n.Tag) {
					tags = append(tags, n.Tag)
				}
			}
		}
	}
	return tags
}

// beyondKit are the tags of what is too heavy for everything that was named.
func beyondKit(all []Handling) []string {
	var tags []string
	for _, h := range all {
		if h.Beyond {
			tags = append(tags, h.Tag)
		}
	}
	return tags
}

// topHeavy are machines whose centre of gravity is above half their height on a
// base under 30 in, by the guess.
func (m *move) topHeavy() []string {
	var tags []string
	for _, u := range m.each() {
		t, ok := u.tipping()
		if ok && u.massKg > topHeavyKg && t.BaseLowMm < narrowMm && t.CentreHighMm > u.outside.HeightMm/2 {
			tags = append(tags, u.tag)
		}
	}
	return tags
}

// choosing says how to choose riggers: common practice.
func choosing() []string {
	return []string{
		"They have moved machines like these, and old printing presses at best: ask for two such moves and who can speak of them.",
		"They show a current certificate of insurance, liability and cargo, made out for this job, and workers' compensation for their people.",
		"They look at the load and at both ends before they give a price, and put a plan in writing: weights, lifting points, way, floor, gear, who is in charge.",
		"They say what they leave to others: the electrician, the building's engineer, the permits.",
	}
}
