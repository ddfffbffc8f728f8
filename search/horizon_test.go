package search

import (
	"context"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// Where there are many times more lots than a page lists, the nearest are looked
// for town by town, and are those of the truth.
func TestNearestTownByTown(t *testing.T) {
	for seed := range uint64(2) {
		d := newDice(20 + seed)
		x, all := openIndex(t, t.TempDir()), newTruth()
		change := uint64(0)
		for range 3 {
			change = crowd(t, d, x, all, change)
			for range 10 {
				f := &pb.LotFilter{Near: &pb.Near{Point: d.point()}}
				if d.chance(50) {
					f.Kinds = []pb.Kind{pick(d, crowdKinds)}
				}
				limit := 1 + d.IntN(4)
				walks(t, x, f, limit)
				agree(t, x, all, f, pb.LotOrder_LOT_ORDER_NEAREST, limit)
			}
		}
	}
}

var crowdKinds = []pb.Kind{pb.Kind_KIND_PRESS, pb.Kind_KIND_STONES}

// crowd puts many offered lots in, of two kinds and in all sorts of towns, and
// takes some of the former out.
func crowd(t *testing.T, d dice, x *Index, all truth, change uint64) uint64 {
	t.Helper()
	var puts []*pb.Lot
	var deletes []string
	for range 300 {
		change++
		lot := d.lot(0, change)
		lot.Name = fmt.Sprintf("shops/s%d/lots/l%d", d.IntN(9), change)
		lot.State, lot.Kind = pb.LotState_LOT_STATE_OFFERED, pick(d, crowdKinds)
		puts = append(puts, lot)
		all.put(lot)
	}
	for name := range all.lots {
		if len(deletes) < 20 && len(all.lots) > 300 && d.chance(30) {
			deletes = append(deletes, name)
			all.remove(name)
		}
	}
	for _, name := range deletes {
		for i, lot := range puts {
			if lot.Name == name {
				puts = append(puts[:i], puts[i+1:]...)
				break
			}
		}
	}
	if err := x.Apply(context.Background(), change, puts, deletes); err != nil {
		t.Fatal(err)
	}
	return change
}

// walks fails where a search would not go town by town.
func walks(t *testing.T, x *Index, f *pb.LotFilter, limit int) {
	t.Helper()
	r := &run{generation: x.now, query: Query{Filter: f, Limit: limit}, filter: Compile(f), ranked: byDistance}
	snapshot, err := x.now.snapshot()
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = snapshot.Close() }()
	if err := r.find(context.Background(), snapshot); err != nil {
		t.Fatal(err)
	}
	if !r.isDense(limit + 1) {
		t.Fatalf("%v, limit %d, would be answered from a list", f, limit)
	}
}

// The chord goes with the great circle, also where that goes half round the Earth
// and further.
func TestChord2(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lng := rapid.Float64Range(-90, 90), rapid.Float64Range(-180, 180)
		a := place.Point{Lat: lat.Draw(t, "a"), Lng: lng.Draw(t, "a")}
		b := place.Point{Lat: lat.Draw(t, "b"), Lng: lng.Draw(t, "b")}
		km := place.GreatCircleKm(a, b)
		if got, want := chord2(km), a.Unit().Chord2(b.Unit()); math.Abs(got-want) > 1e-9 {
			t.Fatalf("%v and %v, %v km: %v, not %v", a, b, km, got, want)
		}
	})
	if got := chord2(farthestKm); !math.IsInf(got, 1) {
		t.Errorf("further than anything is: %v", got)
	}
}

// Towns about a point are those of a look at each.
func TestEachAbout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lng := rapid.Float64Range(-90, 90), rapid.Float64Range(-180, 180)
		units := make([]place.Unit, 1)
		for range rapid.IntRange(0, 40).Draw(t, "towns") {
			units = append(units, place.Point{Lat: lat.Draw(t, "lat"), Lng: lng.Draw(t, "lng")}.Unit())
		}
		center := place.Point{Lat: lat.Draw(t, "center"), Lng: lng.Draw(t, "center")}.Unit()
		km := rapid.Float64Range(0, 21_000).Draw(t, "km")
		found := map[uint32]bool{}
		newBand(units).eachAbout(center, km, func(town uint32, _ place.Unit) { found[town] = true })
		for n := 1; n < len(units); n++ {
			if want := center.Chord2(units[n]) < chord2(km); found[uint32(n)] != want {
				t.Fatalf("town %d within %v km: %v, not %v", n, km, found[uint32(n)], want)
			}
		}
	})
}

// The documents of a town are those that stand in it, in order, and a town that
// came later has none.
func TestTownColumn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := &townColumn{of: rapid.SliceOfN(rapid.Uint32Range(0, 9), 0, 60).Draw(t, "towns")}
		next := map[uint32]int{}
		for town := range uint32(12) {
			for _, doc := range c.in(town) {
				if c.of[doc] != town || int(doc) < next[town] {
					t.Fatalf("town %d has document %d", town, doc)
				}
				next[town] = int(doc) + 1
			}
		}
		total := 0
		for town := range uint32(12) {
			total += len(c.in(town))
		}
		if total != len(c.of) {
			t.Fatalf("%d documents, not %d", total, len(c.of))
		}
	})
}
