package score

import (
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

func aJobber(tag string, change func(*pb.Lot)) *pb.Lot {
	l := &pb.Lot{
		Name: "shops/a/lots/" + tag, Tag: tag, Title: "platen jobber", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER,
		Weight: &pb.Weight{MassKg: proto.Float64(700)}, Parts: &pb.Parts{RestComplete: true}, Condition: pb.Condition_CONDITION_WORKING,
		Town:   &pb.Town{Label: "Dayton, OH", Point: &pb.Point{Latitude: 39.759, Longitude: -84.192}},
		Detail: &pb.Lot_Press{Press: &pb.PressDetail{Chase: &pb.Rectangle{WidthMm: 254, HeightMm: 381}}},
	}
	if change != nil {
		change(l)
	}
	return l
}

func hitsOf(list *pb.WantedList, want *pb.Want, lots ...*pb.Lot) []Ranked {
	var hits []Ranked
	for _, l := range lots {
		hits = append(hits, Ranked{Want: want, Lot: l, Fit: Lot(list, want, l, Road(list, l))})
	}
	Sort(hits, func(r Ranked) Ranked { return r })
	return hits
}

var columbus = &pb.WantedList{Town: &pb.Town{Point: &pb.Point{Latitude: 39.961, Longitude: -82.999}}, ReachRoadKm: proto.Float64(400)}

// The question that is asked first is about the one lot whose answers would
// carry it past the others; lots of which all is known raise none.
func TestAskFirstIsAboutTheLotThatCouldMove(t *testing.T) {
	want := &pb.Want{Id: "w", Title: "a platen"}
	unsure := aJobber("unsure", func(l *pb.Lot) { l.Parts, l.Condition = nil, 0 })
	hits := hitsOf(columbus, want,
		aJobber("whole", nil),
		aJobber("short", func(l *pb.Lot) { l.Parts = &pb.Parts{Missing: []string{"rollers"}, RestComplete: true} }),
		aJobber("worn", func(l *pb.Lot) { l.Condition = pb.Condition_CONDITION_NEEDS_REPAIR }),
		unsure)
	asks := AskFirst(columbus, want, hits)
	if len(asks) == 0 || len(asks) > 3 {
		t.Fatalf("%d questions", len(asks))
	}
	if asks[0].Lot != unsure || asks[0].Places <= 0 || asks[0].Question == "" {
		t.Errorf("the first question is about %s: %+v", asks[0].Lot.GetTag(), asks[0])
	}
	for i := 1; i < len(asks); i++ {
		if asks[i].Places > asks[i-1].Places {
			t.Errorf("question %d moves more than the one before: %v", i, asks)
		}
	}
}

func TestAskFirstAsksNothingWhereNothingCouldMove(t *testing.T) {
	want := &pb.Want{Id: "w", Title: "a platen"}
	alone := hitsOf(columbus, want, aJobber("alone", func(l *pb.Lot) { l.Parts = nil }))
	if asks := AskFirst(columbus, want, alone); len(asks) != 0 {
		t.Errorf("one lot has nothing to pass: %v", asks)
	}
	if asks := AskFirst(columbus, want, nil); len(asks) != 0 {
		t.Errorf("no lot: %v", asks)
	}
}

// A lot whose town nobody has said may turn out to be near.
func TestAskFirstForATown(t *testing.T) {
	want := &pb.Want{Id: "w", Title: "a platen"}
	hits := hitsOf(columbus, want, aJobber("here", nil), aJobber("there", nil), aJobber("where", func(l *pb.Lot) { l.Town = nil }))
	asks := AskFirst(columbus, want, hits)
	if len(asks) == 0 || asks[0].Lot.GetTag() != "where" || asks[0].Question != "Which town is it in?" {
		t.Errorf("%+v", asks)
	}
}
