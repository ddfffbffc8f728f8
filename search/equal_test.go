package search

import (
	"context"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// An index finds exactly what Matches lets pass, in the order of the truth,
// page by page, whatever was put in, changed and taken out before.
func TestIndexEqualsTruth(t *testing.T) {
	for seed := range uint64(3) {
		d := newDice(seed)
		x, all := openIndex(t, t.TempDir()), newTruth()
		change := uint64(0)
		for range 6 {
			change = stir(t, d, x, all, change)
			for range 40 {
				f := d.filter()
				if v := Validate(f); len(v) > 0 {
					t.Fatalf("%v: %v", f, v)
				}
				agree(t, x, all, f, d.order(f), 1+d.IntN(40))
			}
		}
	}
}

// stir puts lots in, changes some and takes some out, in one batch.
func stir(t *testing.T, d dice, x *Index, all truth, change uint64) uint64 {
	t.Helper()
	var puts []*pb.Lot
	var deletes []string
	touched := map[string]bool{}
	for range 20 + d.IntN(60) {
		change++
		lot := d.lot(d.IntN(200), change)
		if touched[lot.Name] {
			continue
		}
		touched[lot.Name] = true
		if d.chance(15) {
			deletes = append(deletes, lot.Name)
			all.remove(lot.Name)
		} else {
			puts = append(puts, lot)
			all.put(lot)
		}
	}
	if err := x.Apply(context.Background(), change, puts, deletes); err != nil {
		t.Fatal(err)
	}
	return change
}

// What was found before is found after closing and opening again.
func TestReopenedIndexEqualsTruth(t *testing.T) {
	d, dir, all := newDice(11), t.TempDir(), newTruth()
	change := uint64(0)
	for range 4 {
		x, err := Open(dir, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if x.Change() != change {
			t.Fatalf("opened at change %d, not %d", x.Change(), change)
		}
		for range 10 {
			f := d.filter()
			agree(t, x, all, f, d.order(f), 10)
		}
		change = stir(t, d, x, all, change)
		if err := x.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// The widest and longest queries are answered like any other.
func TestWidestQueries(t *testing.T) {
	d, all := newDice(12), newTruth()
	x := openIndex(t, t.TempDir())
	stir(t, d, x, all, 0)
	km := 25_000.0
	var everyKind []pb.Kind
	for kind := pb.Kind(1); kind <= pb.Kind_KIND_OTHER; kind++ {
		everyKind = append(everyKind, kind)
	}
	for _, f := range []*pb.LotFilter{
		nil,
		{},
		{Words: strings.Repeat("press ", 64)},
		{Words: strings.TrimSpace(strings.Repeat("press 15 fount of ", 16))},
		{Kinds: everyKind, Near: &pb.Near{Point: &pb.Point{Latitude: 40, Longitude: -84}, WithinRoadKm: &km}},
		{Near: &pb.Near{Point: &pb.Point{Latitude: 90, Longitude: 0}, WithinRoadKm: &km}},
		{Near: &pb.Near{Point: &pb.Point{Latitude: 0, Longitude: 180}}},
	} {
		for order := range pb.LotOrder_name {
			if f.GetNear() != nil || pb.LotOrder(order) != pb.LotOrder_LOT_ORDER_NEAREST {
				agree(t, x, all, f, pb.LotOrder(order), 1000)
			}
		}
	}
}

// A limit of 0 gives the total and the change number alone.
func TestTotalAlone(t *testing.T) {
	x, all := openIndex(t, t.TempDir()), newTruth()
	change := stir(t, newDice(13), x, all, 0)
	result, err := x.Search(context.Background(), Query{})
	if err != nil {
		t.Fatal(err)
	}
	if want := len(all.search(nil, 0)); result.Total != want || result.Change != change || len(result.Hits) > 0 || result.More {
		t.Errorf("found %+v, not %d lots at change %d", result, want, change)
	}
}

// A batch that reaches no further than the index has come changes nothing, and
// a lot without a name is refused.
func TestApply(t *testing.T) {
	x, all := openIndex(t, t.TempDir()), newTruth()
	change := stir(t, newDice(14), x, all, 0)
	stale := &pb.Lot{Name: "shops/a/lots/b", State: pb.LotState_LOT_STATE_OFFERED}
	if err := x.Apply(context.Background(), change, []*pb.Lot{stale}, nil); err != nil {
		t.Fatal(err)
	}
	if err := x.Apply(context.Background(), change+1, []*pb.Lot{{Title: "Corwen"}}, nil); err == nil || !strings.Contains(err.Error(), "lot 0") {
		t.Errorf("a lot without a name: %v", err)
	}
	if x.Change() != change {
		t.Errorf("at change %d, not %d", x.Change(), change)
	}
	agree(t, x, all, nil, pb.LotOrder_LOT_ORDER_NEWEST, 20)
}
