package trade

import (
	"fmt"

	pb "heirpress/proto/heirpress/v1"
)

// Estimate is a mass with its grounds. Measured and stated masses have LowKg
// equal to HighKg, unless the keeper gave a range.
type Estimate struct {
	// LowKg and HighKg are the mass in kilograms; both 0 where it is not known.
	LowKg, HighKg float64
	// Grounds says how it is known.
	Grounds pb.Grounds
	// Basis is what it rests on, in words.
	Basis string
	// Known is false where there is nothing to go by.
	Known bool
	// Doubt questions a stated figure that lies far outside what its class
	// weighs; empty where there is no doubt.
	Doubt string
}

// MidKg is the middle of the estimate in kilograms.
func (e Estimate) MidKg() float64 { return (e.LowKg + e.HighKg) / 2 }

// Weight is the estimate as the contract's message; nil where it is not known.
func (e Estimate) Weight() *pb.Weight {
	if !e.Known {
		return nil
	}
	w := &pb.Weight{Grounds: e.Grounds, Basis: e.Basis}
	if e.LowKg == e.HighKg {
		w.MassKg = &e.LowKg
	} else {
		w.LowKg, w.HighKg = &e.LowKg, &e.HighKg
	}
	return w
}

// WeightOf is what a whole lot weighs. A measured or stated weight wins. Without
// one it is estimated: a machine by its class and size, metal type by its area,
// cases, pieces or scheme and its alloy, wood type by size and count, a stone by
// its slab, a cabinet by its cases. A lot of several is as many times one.
func WeightOf(lot *pb.Lot) Estimate {
	guess := guessWeight(lot)
	said := saidWeight(lot.GetWeight())
	if !said.Known {
		return guess
	}
	said.Doubt = doubt(said, guess)
	return said
}

// saidWeight is the weight that somebody gave. A weight out of the contract's
// bounds counts as not given.
func saidWeight(w *pb.Weight) Estimate {
	low, high := w.GetLowKg(), w.GetHighKg()
	if w.GetMassKg() != 0 && (w.LowKg == nil || w.HighKg == nil) {
		low, high = w.GetMassKg(), w.GetMassKg()
	}
	if !positive(low) || !positive(high) || low > high {
		return Estimate{}
	}
	e := Estimate{LowKg: low, HighKg: high, Grounds: w.GetGrounds(), Basis: w.GetBasis(), Known: true}
	if e.Grounds == pb.Grounds_GROUNDS_UNSPECIFIED {
		e.Grounds = pb.Grounds_GROUNDS_STATED
	}
	return e
}

// farOutside is how many times beyond the range a weight is questioned.
// Published weights were seen to be 25 to 30 % low; half as much again is left.
// A design choice.
const farOutside = 1.5

// doubt questions a weight that is far outside the estimate.
func doubt(said, guess Estimate) string {
	if !guess.Known || inReach(said, guess, 1) {
		return ""
	}
	text := fmt.Sprintf("%s is far from the %s expected of %s", FormatMassRange(said.LowKg, said.HighKg, US),
		FormatMassRange(guess.LowKg, guess.HighKg, US), guess.Basis)
	text += fmt.Sprintf(" (%s against %s)", FormatMassRange(said.LowKg, said.HighKg, Metric),
		FormatMassRange(guess.LowKg, guess.HighKg, Metric))
	switch {
	case inReach(said, guess, 1/KgPerPound):
		text += "; were pounds and kilograms mixed up?"
	case inReach(said, guess, KgPerPound):
		text += "; were kilograms taken for pounds?"
	}
	return text
}

// inReach tells whether a weight, so many times, is near enough to the estimate.
func inReach(said, guess Estimate, times float64) bool {
	return said.HighKg*times >= guess.LowKg/farOutside && said.LowKg*times <= guess.HighKg*farOutside
}
