package rigging

import (
	"math"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Names of the two ends.
const (
	shopEnd = "at the shop"
	homeEnd = "at the new home"
)

// EndCheck is the way through one end of the move.
type EndCheck struct {
	// Name is "at the shop" or "at the new home".
	Name  string      `json:"name"`
	Doors []DoorCheck `json:"doors,omitempty"`
	Turns []TurnCheck `json:"turns,omitempty"`
	// Widest is what needs most of a door, and Longest what needs most of a turn.
	Widest  *Need `json:"widest,omitempty"`
	Longest *Need `json:"longest,omitempty"`
	// Unsized are the tags whose outside nobody knows.
	Unsized []string `json:"unsized,omitempty"`
	// Steps is absent where nobody has said.
	Steps *StepsCheck `json:"steps,omitempty"`
	Floor FloorCheck  `json:"floor"`
	// Elevator is absent where there is none.
	Elevator *ElevatorCheck `json:"elevator,omitempty"`
}

// Need is how much room a thing needs.
type Need struct {
	Tag    string  `json:"tag"`
	NeedMm float64 `json:"needMm"`
	// FlywheelMm is how much less it needs of a door at most with its flywheel
	// and shaft off; 0 if it has none.
	FlywheelMm float64 `json:"flywheelMm,omitempty"`
}

// DoorCheck holds everything that stands alone against one door.
type DoorCheck struct {
	Name     string  `json:"name,omitempty"`
	WidthMm  float64 `json:"widthMm"`
	HeightMm float64 `json:"heightMm,omitempty"`
	// Passes go through as they stand, with room for hands.
	Passes []string `json:"passes,omitempty"`
	// Stripped go through with the flywheel off, or the shaft as well.
	Stripped []Need `json:"stripped,omitempty"`
	// TooWide and TooHigh do not go through as far as is known.
	TooWide []Need `json:"tooWide,omitempty"`
	TooHigh []Need `json:"tooHigh,omitempty"`
}

// TurnCheck holds everything against one corner or landing.
type TurnCheck struct {
	Name   string  `json:"name,omitempty"`
	RoomMm float64 `json:"roomMm"`
	// TooLong do not turn there on a dolly.
	TooLong []Need `json:"tooLong,omitempty"`
}

// StepsCheck is the steps at one end.
type StepsCheck struct {
	Up   int `json:"up"`
	Down int `json:"down"`
	// RiseMm is the greater of the two climbs, at 7 in a step; Ramp12Mm and
	// Ramp8Mm are the ramps of 1 in 12 and 1 in 8 over it.
	RiseMm   float64 `json:"riseMm"`
	Ramp12Mm float64 `json:"ramp12Mm"`
	Ramp8Mm  float64 `json:"ramp8Mm"`
	// Heavy are the pieces over 1,000 lb.
	Heavy []string `json:"heavy,omitempty"`
}

// ElevatorCheck holds weights against an elevator.
type ElevatorCheck struct {
	RatedKg float64 `json:"ratedKg"`
	// Exceeds are too heavy for it whole.
	Exceeds []string `json:"exceeds,omitempty"`
}

// FloorCheck holds the thing that presses hardest against what the floor was
// designed for. It answers nothing: it is there to ask with.
type FloorCheck struct {
	Ground Ground `json:"ground,omitempty"`
	Level  Level  `json:"level,omitempty"`
	Use    string `json:"use,omitempty"`
	// DesignKgPerM2 is the uniform design load of the use.
	DesignKgPerM2 float64 `json:"designKgPerM2,omitempty"`
	RatedKgPerM2  float64 `json:"ratedKgPerM2,omitempty"`
	// Tag presses hardest: MassKg, by a guess at its base.
	Tag    string  `json:"tag,omitempty"`
	MassKg float64 `json:"massKg,omitempty"`
	// PatchKgPerM2 is on that base, SpreadKgPerM2 on a skid and timbers a foot
	// further all round.
	PatchKgPerM2  float64 `json:"patchKgPerM2,omitempty"`
	SpreadKgPerM2 float64 `json:"spreadKgPerM2,omitempty"`
}

// Room around a load on the way: 2 in each side for hands and dolly, and 3 in
// below for a pallet jack or skates. Common practice.
const (
	handsMm = 2 * 2 * trade.MmPerInch
	wheelMm = 3 * trade.MmPerInch
	// edgeMm is a slab on edge with the board and frame that hold it.
	edgeMm = 12 * trade.MmPerInch
)

// heavyKg is a piece that is heavy on steps, and on a floor nobody knows: 1,000
// lb. Common practice.
const heavyKg = 1000 * trade.KgPerPound

func (m *move) end(name string, e End) EndCheck {
	c := EndCheck{Name: name, Floor: m.floor(e)}
	for _, d := range e.Doors {
		c.Doors = append(c.Doors, m.door(d))
	}
	for _, t := range e.Turns {
		c.Turns = append(c.Turns, m.turn(t))
	}
	for _, u := range m.each() {
		if u.outside == nil {
			c.Unsized = append(c.Unsized, u.tag)
			continue
		}
		c.Widest = more(c.Widest, u.doorNeed())
		c.Longest = more(c.Longest, Need{Tag: u.tag, NeedMm: u.turningMm()})
	}
	if n, known := e.steps(); known && n > 0 {
		c.Steps = m.steps(e)
	}
	if e.ElevatorKg != nil {
		c.Elevator = m.elevator(*e.ElevatorKg)
	}
	return c
}

func more(a *Need, b Need) *Need {
	if a != nil && a.NeedMm >= b.NeedMm {
		return a
	}
	return &b
}

// slab tells whether it is a stone, which goes on its long edge.
func (u unit) slab() bool { return trade.KindOf(u.class) == pb.Kind_KIND_STONES }

// doorNeed is the door that it needs as it stands.
func (u unit) doorNeed() Need {
	if u.slab() {
		return Need{Tag: u.tag, NeedMm: edgeMm + handsMm}
	}
	return Need{u.tag, min(u.outside.WidthMm, u.outside.DepthMm) + handsMm, flywheelMm(u.class)}
}

// heightMm is how high a door it needs on wheels; 0 if that is not known.
func (u unit) heightMm() float64 {
	switch {
	case u.slab():
		return min(u.outside.WidthMm, u.outside.DepthMm) + wheelMm
	case u.outside.HeightMm == 0:
		return 0
	}
	return u.outside.HeightMm + wheelMm
}

// turningMm is the room that it needs to be turned where it stands: its diagonal.
func (u unit) turningMm() float64 {
	if u.slab() {
		return max(u.outside.WidthMm, u.outside.DepthMm)
	}
	return math.Hypot(u.outside.WidthMm, u.outside.DepthMm)
}

func (m *move) door(d Door) DoorCheck {
	c := DoorCheck{Name: d.Name, WidthMm: d.WidthMm, HeightMm: d.HeightMm}
	for _, u := range m.each() {
		if u.outside == nil {
			continue
		}
		need, high := u.doorNeed(), u.heightMm()
		switch {
		case d.HeightMm > 0 && !goes(high, d.HeightMm):
			c.TooHigh = append(c.TooHigh, Need{Tag: u.tag, NeedMm: high})
		case goes(need.NeedMm, d.WidthMm):
			c.Passes = append(c.Passes, u.tag)
		case goes(need.NeedMm-need.FlywheelMm, d.WidthMm):
			c.Stripped = append(c.Stripped, need)
		default:
			c.TooWide = append(c.TooWide, need)
		}
	}
	return c
}

// goes tells whether a need is met by the room there is.
func goes(needMm, roomMm float64) bool { return needMm <= roomMm*(1+hair) }

func (m *move) turn(t Turn) TurnCheck {
	c := TurnCheck{Name: t.Name, RoomMm: t.RoomMm}
	for _, u := range m.each() {
		if u.outside != nil && !goes(u.turningMm(), t.RoomMm) {
			c.TooLong = append(c.TooLong, Need{Tag: u.tag, NeedMm: u.turningMm()})
		}
	}
	return c
}

func (m *move) steps(e End) *StepsCheck {
	c := &StepsCheck{}
	if e.StepsUp != nil {
		c.Up = *e.StepsUp
	}
	if e.StepsDown != nil {
		c.Down = *e.StepsDown
	}
	c.RiseMm = float64(max(c.Up, c.Down)) * stepMm
	c.Ramp12Mm, c.Ramp8Mm = RampMm(c.RiseMm, Slope{1, 12}), RampMm(c.RiseMm, Slope{1, 8})
	for _, u := range m.each() {
		if u.pieceKg > heavyKg {
			c.Heavy = append(c.Heavy, u.tag)
		}
	}
	return c
}

func (m *move) elevator(ratedKg float64) *ElevatorCheck {
	c := &ElevatorCheck{RatedKg: ratedKg}
	for _, u := range m.each() {
		if u.rollKg > ratedKg {
			c.Exceeds = append(c.Exceeds, u.tag)
		}
	}
	return c
}

func (m *move) floor(e End) FloorCheck {
	c := FloorCheck{Ground: e.Ground, Level: e.Level}
	if e.Use != nil {
		c.Use, c.DesignKgPerM2 = e.Use.Name, e.Use.KgPerM2()
	}
	if e.RatedKgPerM2 != nil {
		c.RatedKgPerM2 = *e.RatedKgPerM2
	}
	for _, u := range m.each() {
		if u.outside == nil || u.massKg <= mostLiftedKg {
			continue
		}
		share := stanceOf(u.class).baseLow
		w, d := u.outside.WidthMm*share, u.outside.DepthMm*share
		patch, err := PatchKgPerM2(u.massKg, w, d)
		if err != nil || patch <= c.PatchKgPerM2 {
			continue
		}
		c.Tag, c.MassKg, c.PatchKgPerM2 = u.tag, u.massKg, patch
		c.SpreadKgPerM2, _ = SpreadKgPerM2(u.massKg, w, d)
	}
	return c
}
