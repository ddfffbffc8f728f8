package search

import (
	"reflect"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

// A lot matches where every condition holds, and what it does not say is unsaid
// in both: 10,000 random filters and lots.
func TestExplainAgreesWithMatches(t *testing.T) {
	d := newDice(41)
	met := 0
	for range 10_000 {
		f, lot := d.filter(), d.lot(1, 1)
		if d.chance(20) {
			f.Words += " " + pick(d, []string{"plat*", "halv* press", "the", "zzz"})
		}
		matches, unknown := Matches(f, lot)
		all, unsaid := true, []string(nil)
		for _, c := range Explain(f, lot) {
			all = all && c.Holds
			for label, part := range askParts {
				if part == c.Part && c.Unsaid {
					unsaid = append(unsaid, label)
				}
			}
		}
		if matches != all || matches && !slices.Equal(unknown, unsaid) {
			t.Fatalf("%v\n%v\nmatches %t, %v; explained as %+v", f, lot, matches, unknown, Explain(f, lot))
		}
		if matches {
			met++
		}
	}
	if met < 200 {
		t.Errorf("only %d of them matched", met)
	}
}

func TestExplain(t *testing.T) {
	lot := &pb.Lot{
		Name: "shops/a/lots/b", Title: "Corwen jobbers, 10x15", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER,
		State: pb.LotState_LOT_STATE_PROMISED, Price: &pb.Money{CurrencyCode: "USD", Units: 900},
		Town: &pb.Town{Point: &pb.Point{Latitude: 39.7589, Longitude: -84.1916}, CountryCode: "US", Region: "OH"},
	}
	near := &pb.Near{Point: &pb.Point{Latitude: 39.9612, Longitude: -82.9988}, WithinRoadKm: proto.Float64(160)}
	got := Explain(&pb.LotFilter{
		Words: "Jobber, motor", Kinds: []pb.Kind{pb.Kind_KIND_PRESS, pb.Kind_KIND_TOOLS}, Classes: []pb.Class{pb.Class_CLASS_HAND_PRESS},
		Regions: []string{"US/MI"}, Shop: "shops/a", Near: near, MaxMassKg: proto.Float64(0.5), MaxPrice: &pb.Money{CurrencyCode: "USD", Units: 800},
		Sheet: &pb.Rectangle{WidthMm: 2000, HeightMm: 2000},
	}, lot)
	if road := got[6].Road; road == nil || road.Km < 100 || road.Km > 160 {
		t.Errorf("from Columbus to Dayton: %v", road)
	}
	got[6].Road = nil
	want := []Condition{
		{Part: PartWords, Has: []string{"Jobber"}, Lacks: []string{"motor"}},
		{Part: PartKinds, Holds: true}, {Part: PartClasses}, {Part: PartStates}, {Part: PartRegions}, {Part: PartShop, Holds: true},
		{Part: PartNear, Holds: true}, {Part: PartMass}, {Part: PartPrice}, {Part: PartSheet, Holds: true, Unsaid: true},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	if all := Explain(nil, lot); len(all) != 1 || all[0].Part != PartStates || all[0].Holds {
		t.Errorf("of no filter: %+v", all)
	}
}
