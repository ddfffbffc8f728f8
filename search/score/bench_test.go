package score

import (
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// BenchmarkLot scores a press of which little is known, with its questions.
func BenchmarkLot(b *testing.B) {
	want := &pb.Want{Id: "w", Title: "a platen", MustHave: []string{"rollers"}}
	lot := aJobber("p1", func(l *pb.Lot) { l.Parts, l.Condition, l.Weight = nil, 0, nil })
	road := Road(columbus, lot)
	for b.Loop() {
		Lot(columbus, want, lot, road)
	}
}
