package trade

import (
	pb "heirpress/proto/heirpress/v1"
)

const (
	// lbPerIn3 is 1 g/cm³ in pounds a cubic inch; from memory (handbook).
	lbPerIn3 = 0.0361273
	// typeHighIn is the height to paper that areas are turned into volumes with.
	typeHighIn = 0.918
	// mm2PerIn2 is square millimetres in a square inch.
	mm2PerIn2 = MmPerInch * MmPerInch
)

// Densities of the metals in g/cm³; from memory (handbook).
const (
	densityLead     = 11.34
	densityAntimony = 6.68
	densityTin      = 7.31
)

// Mix is an alloy of type metal, in percent by weight.
type Mix struct {
	// Name is what it is for.
	Name string
	// Alloy is the contract's name for it.
	Alloy pb.Alloy
	// Lead, Antimony and Tin are percent by weight; they add up to 100.
	Lead, Antimony, Tin float64
}

// Mixes returns the usual alloys of type metal. Published, but for the first of
// the foundry metals, which is from memory.
func Mixes() []Mix {
	return []Mix{
		{"slug", pb.Alloy_ALLOY_LINE_CASTER, 86, 11, 3},
		{"line caster, eutectic", pb.Alloy_ALLOY_LINE_CASTER, 84, 12, 4},
		{"stereotype", pb.Alloy_ALLOY_STEREOTYPE, 78, 15, 7},
		{"single-type caster", pb.Alloy_ALLOY_TYPE_CASTER, 74, 16, 10},
		{"foundry", pb.Alloy_ALLOY_FOUNDRY, 62, 24, 14},
		{"foundry, hard", pb.Alloy_ALLOY_FOUNDRY, 54, 28, 18},
	}
}

// Density is the ideal density in g/cm³: that of the volumes added up. A real
// casting is a little off; a vendor's sheet gives about 10.6 for the eutectic.
func (m Mix) Density() float64 {
	return 100 / (m.Lead/densityLead + m.Antimony/densityAntimony + m.Tin/densityTin)
}

// LbPerIn2 is what a square inch of solid metal weighs at .918 in high, in
// pounds.
func (m Mix) LbPerIn2() float64 { return m.Density() * lbPerIn3 * typeHighIn }

// lowSpaces is how much of a solid block set matter weighs at least, because its
// spaces and leads are low: 3.4 in² of solid metal, and 4 of set matter, to the
// pound. Common practice.
const lowSpaces = 3.4 / 4

// metalLbPerIn2 is what a square inch of standing type weighs, in pounds, from
// the lightest set matter to the heaviest solid block of that alloy; of any
// alloy, if it is not said.
func metalLbPerIn2(alloy pb.Alloy) (low, high float64) {
	for _, m := range Mixes() {
		if alloy != pb.Alloy_ALLOY_UNSPECIFIED && alloy != m.Alloy {
			continue
		}
		if v := m.LbPerIn2(); high == 0 {
			low, high = v, v
		} else {
			low, high = min(low, v), max(high, v)
		}
	}
	return low * lowSpaces, high
}

// woodLbPerIn2 is what a square inch of wood type weighs, in pounds: hard maple
// at 42 to 44 lb a cubic foot (two handbooks), .918 in high.
func woodLbPerIn2() (low, high float64) {
	return 42 * typeHighIn / 1728, 44 * typeHighIn / 1728
}
