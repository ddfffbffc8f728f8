package rigging

// Circumstance takes a lift out of the scope of the lifting equation. The list is
// the manual's own "does not apply", from memory.
type Circumstance int

// Circumstances that the lifting equation says nothing about.
const (
	OneHand Circumstance = iota
	SeveralPeople
	Steps
	Carrying
	PushingOrPulling
	SeatedOrKneeling
	CrampedSpace
	UnstableLoad
	BarrowOrShovel
	FastMotion
	SlipperyFloor
	HotOrCold
	OverEightHours
)

var circumstanceWords = []string{
	OneHand:          "lifting with one hand",
	SeveralPeople:    "two or more people lifting together",
	Steps:            "steps and ladders",
	Carrying:         "carrying",
	PushingOrPulling: "pushing and pulling",
	SeatedOrKneeling: "lifting while seated or kneeling",
	CrampedSpace:     "cramped spaces",
	UnstableLoad:     "loads that shift",
	BarrowOrShovel:   "barrows and shovels",
	FastMotion:       "fast or jerky lifting",
	SlipperyFloor:    "slippery floors",
	HotOrCold:        "great heat or cold",
	OverEightHours:   "more than eight hours of it",
}

// String names the circumstance: "steps and ladders".
func (c Circumstance) String() string {
	if c < 0 || int(c) >= len(circumstanceWords) {
		return "an unknown circumstance"
	}
	return circumstanceWords[c]
}

// liftMethod is what a ScopeError and the brief call the equation.
const liftMethod = "the NIOSH lifting equation"

func outOfScope(beyond []Circumstance) error {
	e := &ScopeError{Method: liftMethod}
	for _, c := range beyond {
		e.Reasons = append(e.Reasons, c.String())
	}
	return e
}
