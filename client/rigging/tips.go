package rigging

// Tipping is how easily a thing goes over, by a guess at its base and its centre
// of gravity, over its narrower side.
type Tipping struct {
	Tag string `json:"tag"`
	// The guesses, in millimetres.
	BaseLowMm    float64 `json:"baseLowMm"`
	BaseHighMm   float64 `json:"baseHighMm"`
	CentreLowMm  float64 `json:"centreLowMm"`
	CentreHighMm float64 `json:"centreHighMm"`
	// LowRatio and HighRatio are the push, as a share of its weight, that tips it
	// standing free; LowDeg and HighDeg the tilt.
	LowRatio  float64 `json:"lowRatio"`
	HighRatio float64 `json:"highRatio"`
	LowDeg    float64 `json:"lowDeg"`
	HighDeg   float64 `json:"highDeg"`
	// Bend and Braking say what a lateral 0.5 g and a forward 0.8 g do to it.
	Bend    Fall `json:"bend"`
	Braking Fall `json:"braking"`
}

// Fall is whether something goes over.
type Fall string

// Whether something goes over, as far as the guess goes.
const (
	GoesOver   Fall = "goes over"
	MayGoOver  Fall = "may go over"
	DoesNotYet Fall = "not by this guess"
)

// tipping guesses for everything that stands alone and whose height is known.
func (m *move) tipping() []Tipping {
	var all []Tipping
	for _, u := range m.each() {
		if t, ok := u.tipping(); ok {
			all = append(all, t)
		}
	}
	return all
}

func (u unit) tipping() (Tipping, bool) {
	if u.outside == nil || u.outside.HeightMm == 0 {
		return Tipping{}, false
	}
	s, narrow := stanceOf(u.class), min(u.outside.WidthMm, u.outside.DepthMm)
	worst := Base{narrow * s.baseLow, u.outside.HeightMm * s.centreHigh}
	best := Base{narrow * s.baseHigh, u.outside.HeightMm * s.centreLow}
	return Tipping{
		Tag: u.tag, BaseLowMm: worst.AcrossMm, BaseHighMm: best.AcrossMm,
		CentreLowMm: best.CentreMm, CentreHighMm: worst.CentreMm,
		LowRatio: worst.Ratio(), HighRatio: best.Ratio(), LowDeg: worst.TipDeg(), HighDeg: best.TipDeg(),
		Bend: fall(worst, best, BreakingForces.Sideways), Braking: fall(worst, best, BreakingForces.Forward),
	}, true
}

func fall(worst, best Base, g float64) Fall {
	switch {
	case best.Tips(g):
		return GoesOver
	case worst.Tips(g):
		return MayGoOver
	}
	return DoesNotYet
}
