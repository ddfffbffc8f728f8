package rigging

import (
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// Site is what is known of a move besides the load: both ends of it, the vehicle,
// the crew and the kit. Nil and empty mean that nobody has said.
type Site struct {
	// From is where the load stands now, To where it goes.
	From, To End
	// Vehicle is what carries it; nil if nobody has said.
	Vehicle *Vehicle
	// Kit is what there is to move it with. Of its fields only people, dolly,
	// pallet jack, hoist, liftgate and forklift are read: the vehicle and the
	// ends say the rest.
	Kit *pb.Kit
	// Experienced tells whether somebody there has moved such machines.
	Experienced *bool
	// Journey finds the way between two towns; nil means place.JourneyBetween.
	Journey func(from, to place.Town) place.Journey
}

// End is one end of the move.
type End struct {
	// Town is where it is; nil if nobody has said. That of the load is known from
	// its lots.
	Town *place.Town
	// Doors are those on the way, in any order.
	Doors []Door
	// StepsUp and StepsDown are how many steps the load goes up and down there.
	StepsUp, StepsDown *int
	// Turns are the corners and landings on the way.
	Turns []Turn
	// Ground is what the floor is made of.
	Ground Ground
	// Level is where the floor is.
	Level Level
	// Use is what the floor was designed for; nil if nobody has said.
	Use *FloorUse
	// RatedKgPerM2 is what somebody has rated the floor for.
	RatedKgPerM2 *float64
	// Ramp is the slope that the load goes up or down, if there is one.
	Ramp *Slope
	// ElevatorKg is the rated load of an elevator on the way.
	ElevatorKg *float64
}

// Door is a door on the way.
type Door struct {
	// Name is what it is called: "alley door"; empty if it has no name.
	Name string
	// WidthMm is clear, between the stops.
	WidthMm float64
	// HeightMm is clear; 0 if nobody has said.
	HeightMm float64
}

// Turn is a corner or a landing on the way.
type Turn struct {
	// Name is what it is called; empty if it has no name.
	Name string
	// RoomMm is the clear width at its narrowest.
	RoomMm float64
}

// Ground is what a floor is made of.
type Ground string

// Grounds of floors.
const (
	SlabGround   Ground = "slab"
	WoodGround   Ground = "wood"
	UnknownFloor Ground = ""
)

// Level is where a floor is.
type Level string

// Levels of floors.
const (
	GroundLevel  Level = "ground"
	Basement     Level = "basement"
	UpperLevel   Level = "upper"
	UnknownLevel Level = ""
)

// VehicleKind is a kind of vehicle.
type VehicleKind string

// Kinds of vehicle.
const (
	Pickup      VehicleKind = "pickup"
	Van         VehicleKind = "van"
	Truck       VehicleKind = "truck"
	Trailer     VehicleKind = "trailer"
	SomeVehicle VehicleKind = "vehicle"
)

// Vehicle is what carries the load.
type Vehicle struct {
	Kind VehicleKind
	// PayloadKg is what it may carry, by its door sticker or papers.
	PayloadKg *float64
	// DeckLengthMm and DeckWidthMm are the deck, inside; 0 if nobody has said.
	DeckLengthMm, DeckWidthMm float64
	// WheelbaseMm is from the front to the rear axle; of a trailer from the
	// coupling to the axle, or to the middle of its axles. 0 if nobody has said.
	WheelbaseMm float64
	// AxleMm is from the front edge of the deck to the rear axle, or to the
	// middle of a trailer's axles. 0 if nobody has said.
	AxleMm float64
	// Headerboard tells whether there is a wall at the front that the load can
	// be set against.
	Headerboard *bool
	// Tiedowns are what there is to lash with; nil if nobody has said.
	Tiedowns []Gear
	// Assumed is true for a vehicle that nobody has named.
	Assumed bool
}

// steps is how many steps there are up and down, and whether both are known.
func (e End) steps() (n int, known bool) {
	for _, s := range []*int{e.StepsUp, e.StepsDown} {
		if s != nil {
			n += *s
		}
	}
	return n, e.StepsUp != nil || e.StepsDown != nil
}
