package worth

import (
	"math"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// features is what a lot is compared by.
type features struct {
	lot   *pb.Lot
	kind  pb.Kind
	class pb.Class
	// amount is how much there is of it, in the unit that measure names; 0 where
	// it is not known.
	amount  float64
	measure string
	// body is the size of type, in millimetres; 0 where it is not known or there
	// is none.
	body  float64
	count float64
	// complete is how much of it is there, 0 to 1; negative where too little is
	// known.
	complete float64
	words    map[string]bool
	point    *place.Point
}

func featuresOf(l *pb.Lot, complete *float64) features {
	f := features{lot: l, kind: l.GetKind(), class: l.GetClass(), count: 1, words: wordsOf(l.GetTitle())}
	f.amount, f.measure = amountOf(l)
	if low, high := bodyOf(l); low > 0 {
		f.body = (low + high) / 2
	}
	if l.Count != nil && l.GetCount() > 0 {
		f.count = float64(l.GetCount())
	}
	if f.complete = completeOf(l); complete != nil {
		f.complete = *complete
	}
	if p := l.GetTown().GetPoint(); p != nil {
		f.point = &place.Point{Lat: p.GetLatitude(), Lng: p.GetLongitude()}
	}
	return f
}

// amountOf is how much there is of a lot: what its price goes by. What several of
// one thing are, is reckoned for one of them where it is no matter of weight.
func amountOf(l *pb.Lot) (amount float64, measure string) {
	switch l.GetKind() {
	case pb.Kind_KIND_PRESS:
		if s := trade.SpaceOf(l); s.Known {
			return s.ShortMm * s.LongMm, "size"
		}
		return 0, "size"
	case pb.Kind_KIND_STONES, pb.Kind_KIND_CUTTERS:
		if r := l.GetGeneral().GetWorkingSize(); r != nil {
			return r.GetWidthMm() * r.GetHeightMm(), "size"
		}
		return 0, "size"
	case pb.Kind_KIND_CABINETS:
		return float64(l.GetGeneral().GetCases()), "number of cases"
	}
	if w := trade.WeightOf(l); w.Known {
		return w.MidKg(), "weight"
	}
	return 0, "weight"
}

func bodyOf(l *pb.Lot) (low, high float64) {
	if size := l.GetMetalType().GetSize(); size != nil {
		return trade.BodyMm(size)
	}
	if size := l.GetWoodType().GetSize(); size != nil {
		return trade.BodyMm(size)
	}
	return 0, 0
}

// surelyKnown is how far apart the completeness of a lot may lie and still count
// as known. A design choice.
const surelyKnown = 0.5

// completeOf is how complete a lot is whatever its condition, which is adjusted
// for apart.
func completeOf(l *pb.Lot) float64 {
	sound := proto.CloneOf(l)
	sound.Condition = pb.Condition_CONDITION_WORKING
	s := trade.HowComplete(sound, nil, "")
	if s.High-s.Low > surelyKnown {
		return -1
	}
	return s.Mid
}

// years is how long a day lies before another; negative if it lies after it.
func years(from, to *pb.Date) float64 {
	return trade.DayOf(to).Sub(trade.DayOf(from)).Hours() / 24 / 365.25
}

// away is how far two things lie apart by road, in kilometres; negative where it
// is not known, or there is no road.
func away(a, b features) float64 {
	if a.point == nil || b.point == nil {
		return -1
	}
	road := place.RoadKm(*a.point, *b.point)
	if road.None {
		return -1
	}
	return road.Km
}

// within tells whether two figures are at most so many times apart.
func within(a, b, times float64) bool {
	return math.Abs(math.Log(a/b)) <= math.Log(times)+1e-9
}
