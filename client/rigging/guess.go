package rigging

import (
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// stance is a guess at how a class stands: its base as a share of its outside,
// and the height of its centre of gravity as a share of its height.
type stance struct{ baseLow, baseHigh, centreLow, centreHigh float64 }

// stances: common practice, no source; a guess to think with. The one check
// there is: a platen jobber of 46 in by 54 in that stands on 26 in with its
// centre at 30 in.
var stances = map[pb.Class]stance{
	pb.Class_CLASS_TABLETOP_PLATEN:      {0.7, 0.9, 0.4, 0.55},
	pb.Class_CLASS_PLATEN_JOBBER:        {0.55, 0.75, 0.5, 0.6},
	pb.Class_CLASS_PARALLEL_PLATEN:      {0.55, 0.75, 0.5, 0.6},
	pb.Class_CLASS_AUTOMATIC_PLATEN:     {0.55, 0.75, 0.5, 0.6},
	pb.Class_CLASS_HAND_PRESS:           {0.6, 0.8, 0.5, 0.6},
	pb.Class_CLASS_CYLINDER_PROOF_PRESS: {0.8, 1, 0.5, 0.65},
	pb.Class_CLASS_TYPE_CABINET:         {1, 1, 0.45, 0.55},
	pb.Class_CLASS_GALLEY_CABINET:       {1, 1, 0.45, 0.55},
	pb.Class_CLASS_FURNITURE_CABINET:    {1, 1, 0.45, 0.55},
	pb.Class_CLASS_IMPOSING_STONE:       {0.7, 1, 0.6, 0.8},
	pb.Class_CLASS_IMPOSING_SURFACE:     {0.7, 1, 0.6, 0.8},
}

// someStance serves every other class.
var someStance = stance{0.6, 0.9, 0.45, 0.6}

func stanceOf(c pb.Class) stance {
	if s, ok := stances[c]; ok {
		return s
	}
	return someStance
}

// flywheelMm is how much narrower a class gets at most with its flywheel, and
// then its shaft, off: 6 to 12 in for platens. Common practice; an 8x12 was seen
// in print to pass at 33 in.
func flywheelMm(c pb.Class) float64 {
	switch c {
	case pb.Class_CLASS_PLATEN_JOBBER, pb.Class_CLASS_PARALLEL_PLATEN, pb.Class_CLASS_AUTOMATIC_PLATEN:
		return 12 * trade.MmPerInch
	}
	return 0
}
