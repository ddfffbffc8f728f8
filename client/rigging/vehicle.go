package rigging

import "heirpress/search/trade"

// VehiclePlan is what carries the load, and in how many trips.
type VehiclePlan struct {
	Kind string `json:"kind"`
	// Assumed is true for a vehicle that nobody has named: the smallest of three
	// common ones that takes the load at once, or else the largest.
	Assumed bool `json:"assumed,omitempty"`
	// Figures that nobody has given are 0.
	PayloadKg    float64 `json:"payloadKg,omitempty"`
	DeckLengthMm float64 `json:"deckLengthMm,omitempty"`
	DeckWidthMm  float64 `json:"deckWidthMm,omitempty"`
	WheelbaseMm  float64 `json:"wheelbaseMm,omitempty"`
	AxleMm       float64 `json:"axleMm,omitempty"`
	Trips        []Trip  `json:"trips,omitempty"`
	// TooMuch are the tags of what the vehicle does not take even alone.
	TooMuch []string `json:"tooMuch,omitempty"`
	// GateExceeded are heavier than the liftgate is rated for.
	GateExceeded []string `json:"gateExceeded,omitempty"`
	// Gear is what there is to lash with; absent where nobody has said.
	Gear []Gear `json:"gear,omitempty"`
}

// Trip is one drive.
type Trip struct {
	// LoadKg is what is on it, at the upper end; what nobody knows the weight of
	// is not in it.
	LoadKg   float64   `json:"loadKg"`
	Articles []Article `json:"articles"`
	// LengthMm is how much of the deck it takes; 0 if the deck is not known.
	LengthMm float64 `json:"lengthMm,omitempty"`
	// CentreMm is from the front of the deck to the centre of the load, and
	// AsideMm from the middle line of the deck, to the right positive.
	CentreMm float64 `json:"centreMm,omitempty"`
	AsideMm  float64 `json:"asideMm,omitempty"`
	// Axles is absent where the axle is not known.
	Axles *AxleShare `json:"axles,omitempty"`
	// TiesNeeded and TiesShort count tiedowns over the whole trip; TiesShort is
	// 0 where nobody has said what there is.
	TiesNeeded int `json:"tiesNeeded"`
	TiesShort  int `json:"tiesShort,omitempty"`

	// offMm is how far the centre is behind where the axles want it.
	offMm float64
}

// AxleShare is how the load bears on the axles by the rule of the lever.
type AxleShare struct {
	// FrontKg is on the front axle of a truck, or on the coupling of a trailer;
	// negative where the load lifts it. RearKg is on the rear axle, or the
	// trailer's own.
	FrontKg float64 `json:"frontKg"`
	RearKg  float64 `json:"rearKg"`
	// Share is FrontKg over the load.
	Share float64 `json:"share"`
}

// Axles is the rule of the lever: how a load bears on the front axle, or the
// coupling, and on the rear axle, when its centre is so far ahead of the rear
// axle, in millimetres; behind it is negative. The error is a *RangeError.
func Axles(loadKg, aheadMm, wheelbaseMm float64) (AxleShare, error) {
	err := within("load in kilograms", loadKg, 0, heaviestLoadKg)
	if err == nil && !(wheelbaseMm > 0) {
		err = &RangeError{"wheelbase in millimetres", wheelbaseMm, "must be more than 0"}
	}
	if err != nil {
		return AxleShare{}, err
	}
	share := aheadMm / wheelbaseMm
	return AxleShare{loadKg * share, loadKg * (1 - share), share}, nil
}

// heaviestLoadKg is more than any truck carries.
const heaviestLoadKg = 1e6

// Where the centre of a load belongs, as a share of the wheelbase ahead of the
// rear axle: on a truck a little ahead of it; on a trailer so that a tenth to
// 15 % of the load bears on the coupling. Common practice.
const (
	truckAhead              = 0.15
	couplingLow, couplingHi = 0.10, 0.15
	couplingAhead           = (couplingLow + couplingHi) / 2
)

// ahead is where the centre of a load belongs, ahead of the rear axle.
func (v *Vehicle) aheadMm() float64 {
	if v.Kind == Trailer {
		return v.WheelbaseMm * couplingAhead
	}
	return v.WheelbaseMm * truckAhead
}

// axlesKnown tells whether the rule of the lever can be used.
func (v *Vehicle) axlesKnown() bool { return v.WheelbaseMm > 0 && v.AxleMm > 0 && v.deckKnown() }

func (v *Vehicle) deckKnown() bool { return v.DeckLengthMm > 0 && v.DeckWidthMm > 0 }

// commonVehicles stand in where nobody has named one, smallest first: a half-ton
// pickup at the low end of its 1,200 to 2,000 lb, a trailer of 7,000 lb gross,
// the largest rental truck. Payloads, decks and axles are common practice.
func commonVehicles() []*Vehicle {
	return []*Vehicle{
		assumed(Pickup, 1200, 6.5, 4, 11.5, 3.5),
		assumed(Trailer, 5000, 16, 6.5, 13.5, 9.5),
		assumed(Truck, 10_000, 26, 8, 20.5, 17.5),
	}
}

func assumed(k VehicleKind, payloadLb, lengthFt, widthFt, wheelbaseFt, axleFt float64) *Vehicle {
	return &Vehicle{
		Kind: k, PayloadKg: new(payloadLb * trade.KgPerPound), Assumed: true,
		DeckLengthMm: lengthFt * footMm, DeckWidthMm: widthFt * footMm,
		WheelbaseMm: wheelbaseFt * footMm, AxleMm: axleFt * footMm,
	}
}

// vehicle plans the trips of the site's vehicle, or of the smallest common one
// that takes the load at once.
func (m *move) vehicle() VehiclePlan {
	if v := m.site.Vehicle; v != nil {
		return m.planFor(v)
	}
	var plan VehiclePlan
	for _, v := range commonVehicles() {
		plan = m.planFor(v)
		if len(plan.Trips) <= 1 && len(plan.TooMuch) == 0 {
			break
		}
	}
	return plan
}

func (m *move) planFor(v *Vehicle) VehiclePlan {
	p := VehiclePlan{
		Kind: string(v.Kind), Assumed: v.Assumed, DeckLengthMm: v.DeckLengthMm, DeckWidthMm: v.DeckWidthMm,
		WheelbaseMm: v.WheelbaseMm, AxleMm: v.AxleMm, Gear: v.Tiedowns,
	}
	if v.PayloadKg != nil {
		p.PayloadKg = *v.PayloadKg
	}
	p.Trips, p.TooMuch = pack(m.articles(), v)
	for i := range p.Trips {
		p.Trips[i].lash(v)
	}
	if gate := m.site.Kit.GetLiftgateKg(); gate > 0 {
		for _, u := range m.each() {
			if u.rollKg > gate {
				p.GateExceeded = append(p.GateExceeded, u.tag)
			}
		}
	}
	return p
}
