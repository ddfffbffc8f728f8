package score

import (
	"math"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// kit is a kit in which everything is known.
type kit struct {
	people, dolly, jack, hoist, liftgate, forklift float64
	payload, door, steps, floor                    float64
}

// What is assumed of a kit where it does not say. Design choices; the payload
// and the door are common practice (a half-ton pickup carries 1,200 to 2,000 lb,
// a 36-in door is 34 in clear).
var (
	// bare has nothing that is not named.
	bare = kit{steps: math.Inf(1)}
	// planned is two people with a dolly, a pickup and a wide door.
	planned = kit{
		people: 2, dolly: 1000 * trade.KgPerPound, payload: 1500 * trade.KgPerPound,
		door: 34 * trade.MmPerInch, steps: 1, floor: math.Inf(1),
	}
	// generous has everything that is not named.
	generous = kit{
		people: math.Inf(1), dolly: math.Inf(1), jack: math.Inf(1), hoist: math.Inf(1), liftgate: math.Inf(1),
		forklift: math.Inf(1), payload: math.Inf(1), door: math.Inf(1), floor: math.Inf(1),
	}
)

// kitOf is the seeker's kit with what it does not say taken from otherwise.
func kitOf(k *pb.Kit, otherwise kit) kit {
	if k == nil {
		return otherwise
	}
	return kit{
		people: count(k.People, otherwise.people), dolly: given(k.DollyKg, otherwise.dolly),
		jack: given(k.PalletJackKg, otherwise.jack), hoist: given(k.HoistKg, otherwise.hoist),
		liftgate: given(k.LiftgateKg, otherwise.liftgate), forklift: given(k.ForkliftKg, otherwise.forklift),
		payload: given(k.VehiclePayloadKg, otherwise.payload), door: given(k.DoorWidthMm, otherwise.door),
		steps: count(k.Steps, otherwise.steps), floor: given(k.FloorKgPerM2, otherwise.floor),
	}
}

// given is a figure that was given and makes sense, or the other one.
func given(v *float64, otherwise float64) float64 {
	if v == nil || !(*v >= 0) {
		return otherwise
	}
	return *v
}

func count(v *int32, otherwise float64) float64 {
	if v == nil || *v < 0 {
		return otherwise
	}
	return float64(*v)
}

const (
	// carryKg is what one person may lift under ideal conditions: the load
	// constant of the NIOSH lifting equation (publication 94-110). That a team
	// carries as many times that is a design choice.
	carryKg = 23
	// rampKg is what one person pushes up a ramp of 1 in 12 on wheels: 1,000 lb
	// takes 103 lb there (4.764°, friction 0.02), and one person sustains about
	// 50 lb.
	rampKg = 50 / 103.0 * 1000 * trade.KgPerPound
)

// handles is the heaviest piece that a kit moves and loads, in kilograms: what
// its people carry; or what it rolls and lifts, or rolls and pushes up a ramp.
func (k kit) handles() float64 {
	roll := max(k.dolly, k.jack, k.forklift)
	load := max(k.hoist, k.liftgate, k.forklift, k.people*rampKg)
	return max(k.people*carryKg, min(roll, load))
}

// saysMovers tells whether a kit says anything of who and what moves a piece.
func saysMovers(k *pb.Kit) bool {
	return k != nil && (k.People != nil || k.DollyKg != nil || k.PalletJackKg != nil || k.HoistKg != nil || k.LiftgateKg != nil || k.ForkliftKg != nil)
}

// unsaid names what a kit does not say of what the moving of machines takes.
func unsaid(k *pb.Kit) []string {
	var names []string
	add := func(missing bool, name string) {
		if missing {
			names = append(names, name)
		}
	}
	add(k == nil || k.People == nil, "people")
	add(k == nil || k.DollyKg == nil, "dolly")
	add(k == nil || k.PalletJackKg == nil, "pallet jack")
	add(k == nil || k.HoistKg == nil, "hoist")
	add(k == nil || k.LiftgateKg == nil, "liftgate")
	add(k == nil || k.ForkliftKg == nil, "forklift")
	add(k == nil || k.VehiclePayloadKg == nil, "vehicle payload")
	add(k == nil || k.DoorWidthMm == nil, "door width")
	add(k == nil || k.Steps == nil, "steps")
	add(k == nil || k.FloorKgPerM2 == nil, "floor")
	return names
}
