package server

import (
	"fmt"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
	"heirpress/search/score"
	"heirpress/search/trade"
)

const (
	farthest  = 25_000 // km by road
	mostWants = 200
)

// wantedListFields are the fields of a wanted list that a caller may set.
var wantedListFields = []string{"title", "place", "reach_road_km", "kit", "purse", "weights", "wants"}

// checkWantedList checks what a caller set, looks towns up and names the wants.
func checkWantedList(l *pb.WantedList) error {
	const at = "wanted_list"
	if l == nil {
		return invalid(at, "is missing")
	}
	c := new(checker)
	c.required(at+".title", trade.FoldTitle(l.GetTitle()), 200)
	l.Town = c.town(at+".place", l.GetPlace())
	c.within(at+".reach_road_km", l.ReachRoadKm, farthest, "km")
	c.kit(at+".kit", l.GetKit())
	c.money(at+".purse", l.GetPurse())
	c.weights(at+".weights", l.GetWeights())
	c.wants(at+".wants", l.GetWants())
	if l.GetTown() != nil && place.IsCoordinates(l.GetPlace()) {
		l.Place = l.GetTown().GetLabel()
	}
	return c.err()
}

func (c *checker) kit(at string, k *pb.Kit) {
	if k == nil {
		return
	}
	c.notNegative(at+".people", k.People)
	c.notNegative(at+".steps", k.Steps)
	c.upTo(at+".dolly_kg", k.DollyKg, heaviest, "kg")
	c.upTo(at+".pallet_jack_kg", k.PalletJackKg, heaviest, "kg")
	c.upTo(at+".hoist_kg", k.HoistKg, heaviest, "kg")
	c.upTo(at+".liftgate_kg", k.LiftgateKg, heaviest, "kg")
	c.upTo(at+".forklift_kg", k.ForkliftKg, heaviest, "kg")
	c.upTo(at+".vehicle_payload_kg", k.VehiclePayloadKg, heaviest, "kg")
	c.within(at+".door_width_mm", k.DoorWidthMm, largestSize, "mm")
	c.within(at+".floor_kg_per_m2", k.FloorKgPerM2, heaviest, "kg a square metre")
}

func (c *checker) weights(at string, w *pb.FitWeights) {
	if w == nil {
		return
	}
	c.upTo(at+".distance", w.Distance, 100, "")
	c.upTo(at+".rigging", w.Rigging, 100, "")
	c.upTo(at+".completeness", w.Completeness, 100, "")
	none := func(n *float64) bool { return n != nil && *n == 0 }
	if none(w.Distance) && none(w.Rigging) && none(w.Completeness) {
		c.wrong(at, "are all 0: at least one must count")
	}
}

func (c *checker) wants(at string, wants []*pb.Want) {
	if len(wants) == 0 || len(wants) > mostWants {
		c.wrong(at, "has %d wants: 1 to %d", len(wants), mostWants)
		return
	}
	score.NameWants(wants)
	ids := map[string]int{}
	for i, w := range wants {
		here := fmt.Sprintf("%s[%d]", at, i)
		if before, taken := ids[w.GetId()]; taken {
			c.wrong(here+".id", "is %q, as that of want %d: every want needs its own", w.GetId(), before+1)
		}
		ids[w.GetId()] = i
		c.want(here, w)
	}
}

func (c *checker) want(at string, w *pb.Want) {
	if !wantID.MatchString(w.GetId()) {
		c.wrong(at+".id", "is %q: lower-case letters, digits and hyphens, at most 40", w.GetId())
	}
	c.required(at+".title", trade.FoldTitle(w.GetTitle()), 200)
	c.parts(at+".must_have", &pb.Parts{OnHand: w.GetMustHave()})
	c.text(at+".text_to_set", w.GetTextToSet(), 1_000)
	if w.GetImportance() < 0 || w.GetImportance() > 5 {
		c.wrong(at+".importance", "is %d: 1 to 5, or 0 for the usual 3", w.GetImportance())
	}
	c.filter(at+".filter", w.GetFilter())
	keepTownOfNear(w.GetFilter().GetNear())
}

// keepTownOfNear moves a want's point to its town: a seeker's own coordinates
// are not kept either.
func keepTownOfNear(n *pb.Near) {
	if p := n.GetPoint(); p != nil && (n.GetPlace() == "" || place.IsCoordinates(n.GetPlace())) {
		if at := (place.Point{Lat: p.GetLatitude(), Lng: p.GetLongitude()}); at.Valid() {
			town, _ := place.Nearest(at)
			n.Place, n.Point = town.Label(), town.Message().GetPoint()
		}
	}
}

// filter checks a filter and fills in the point of its place.
func (c *checker) filter(at string, f *pb.LotFilter) *pb.Town {
	if f == nil {
		return nil
	}
	town := c.near(at+".near", f.GetNear())
	for _, v := range search.Validate(f) {
		c.wrong(at+"."+v.Field, "%s", v.Description)
	}
	return town
}

func (c *checker) near(at string, n *pb.Near) *pb.Town {
	if n == nil {
		return nil
	}
	if n.GetPoint() != nil {
		c.point(at+".point", n.GetPoint())
		return nil
	}
	town := c.town(at+".place", n.GetPlace())
	if town != nil {
		n.Point = town.GetPoint()
	}
	return town
}
