package chart

// Outlines are cut at a frame a little outside the drawing, so that its edge
// shows no cuts.
const frameRoom = 20.0

// edge is one side of the frame: what is inside, and where a line crosses it.
type edge struct {
	inside func(xy) bool
	cross  func(a, b xy) xy
}

var frame = []edge{
	{func(p xy) bool { return p.x >= -frameRoom }, crossX(-frameRoom)},
	{func(p xy) bool { return p.x <= mapWidth+frameRoom }, crossX(mapWidth + frameRoom)},
	{func(p xy) bool { return p.y >= -frameRoom }, crossY(-frameRoom)},
	{func(p xy) bool { return p.y <= mapHeight+frameRoom }, crossY(mapHeight + frameRoom)},
}

func crossX(x float64) func(a, b xy) xy {
	return func(a, b xy) xy { return xy{x, a.y + (b.y-a.y)*(x-a.x)/(b.x-a.x)} }
}

func crossY(y float64) func(a, b xy) xy {
	return func(a, b xy) xy { return xy{a.x + (b.x-a.x)*(y-a.y)/(b.y-a.y), y} }
}

// clipRing keeps what of a ring is inside the frame (Sutherland and Hodgman,
// "Reentrant polygon clipping", 1974).
func clipRing(ring []xy) []xy {
	for _, side := range frame {
		var kept []xy
		for i, p := range ring {
			before := ring[(i+len(ring)-1)%len(ring)]
			if side.inside(p) != side.inside(before) {
				kept = append(kept, side.cross(before, p))
			}
			if side.inside(p) {
				kept = append(kept, p)
			}
		}
		ring = kept
	}
	return ring
}

// clipLine keeps the runs of a line that have a point inside the frame.
func clipLine(line []xy) (runs [][]xy) {
	var run []xy
	for i, p := range line {
		near := inFrame(p) || i > 0 && inFrame(line[i-1]) || i+1 < len(line) && inFrame(line[i+1])
		if near {
			run = append(run, p)
		}
		if (!near || i == len(line)-1) && len(run) > 1 {
			runs = append(runs, run)
		}
		if !near {
			run = nil
		}
	}
	return runs
}

func inFrame(p xy) bool {
	for _, side := range frame {
		if !side.inside(p) {
			return false
		}
	}
	return true
}
