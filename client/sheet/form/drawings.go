package form

import "slices"

// What the drawings show is common practice of the trade, no source; they are
// not to scale.

// Draw is the drawing that a question calls by its ID; nil if there is none.
func Draw(id string) *Drawing {
	at := slices.IndexFunc(drawings, func(make func() *Drawing) bool { return make().ID == id })
	if at < 0 {
		return nil
	}
	return drawings[at]()
}

var drawings = []func() *Drawing{jobber, proofPress, chase, typePiece, woodType, typeCase, cabinet, stone}

func jobber() *Drawing {
	d := &Drawing{ID: "jobber", Title: "A platen press from the side", width: 640, height: 390,
		Desc: "A press on the floor, seen from its side. Behind stands the bed, an upright iron plate that holds the frame with the type, called the chase. In front of it is the platen, " +
			"a second iron plate that holds the paper and closes against the bed like a clam. Above is a round ink disk, over which rollers run. At the side is a large flywheel, below a treadle, which is a pedal."}
	d.shape("iron", 190, 350, 225, 210, 300, 150, 395, 150, 440, 350, 400, 350, 370, 240, 265, 240, 230, 350)
	d.circle(420, 225, 88, "thick")
	d.circle(420, 225, 80, "thin")
	for _, spoke := range [][2]float64{{80, 0}, {40, 69}, {-40, 69}} {
		d.line(420-spoke[0], 225-spoke[1], 420+spoke[0], 225+spoke[1], "thin")
	}
	d.circle(420, 225, 12, "dark")
	d.shape("dark", 318, 70, 340, 74, 318, 215, 296, 211) // bed
	d.shape("paper", 308, 82, 318, 84, 302, 200, 292, 198)
	d.shape("dark", 165, 128, 178, 112, 272, 200, 258, 216) // platen
	d.shape("iron", 312, 40, 400, 52, 398, 62, 310, 50)     // ink disk
	d.circle(300, 66, 10, "dark")
	d.circle(288, 90, 10, "dark")
	d.line(150, 372, 330, 350, "thick") // treadle
	d.line(330, 350, 420, 237, "thin")
	d.line(60, 378, 600, 378, "thin")
	d.name(120, 60, "end", "rollers", 279, 86)
	d.name(120, 110, "end", "platen", 200, 140)
	d.name(120, 165, "end", "chase,", 297, 170)
	d.text(120, 186, "end", "with the type")
	d.name(120, 330, "end", "treadle", 175, 368)
	d.name(540, 40, "start", "ink disk", 390, 55)
	d.name(540, 90, "start", "bed", 333, 95)
	d.name(540, 200, "start", "flywheel", 505, 205)
	d.name(540, 320, "start", "frame", 428, 318)
	return d
}

func proofPress() *Drawing {
	d := &Drawing{ID: "proofpress", Title: "A cylinder proof press from above", width: 640, height: 330,
		Desc: "A long press, seen from above. The type lies on the bed, a flat iron plate. A cylinder with the paper round it rolls along the bed on rails at both sides. " +
			"Measure the bed inside the rails: its width across, and its length along."}
	d.rect(110, 70, 440, 170, "iron")
	d.rect(110, 92, 440, 126, "paper")
	d.rect(170, 52, 86, 206, "dark")
	d.line(185, 52, 185, 258, "thin")
	d.rect(330, 120, 150, 70, "wood")
	d.reversed(405, 168, 40, "ABC")
	d.across(110, 550, 290, "length of the bed", true)
	d.upright(575, 92, 218, "width", false)
	d.name(213, 30, "middle", "cylinder, with grippers that hold the paper", 213, 60)
	d.name(430, 52, "middle", "rail", 430, 81)
	d.name(60, 160, "middle", "bed", 140, 156)
	d.text(405, 212, "middle", "type")
	return d
}

func chase() *Drawing {
	d := &Drawing{ID: "chase", Title: "A chase: measure inside the frame", width: 640, height: 330,
		Desc: "A chase is an iron frame in which the type is wedged. Measure the opening, from one inner edge to the other: first the width, then the height. Do not measure over the outside of the frame."}
	d.rect(150, 40, 340, 230, "iron")
	d.rect(176, 66, 288, 178, "paper")
	d.rect(185, 100, 90, 60, "wood")
	d.reversed(230, 142, 34, "abc")
	d.across(176, 464, 220, "inside width", false)
	d.upright(390, 66, 244, "inside height", true)
	d.name(70, 60, "middle", "iron frame", 160, 90)
	d.name(70, 160, "middle", "type", 190, 150)
	d.across(150, 490, 300, "not over the outside", true)
	d.cross(190, 300)
	return d
}

func typePiece() *Drawing {
	d := &Drawing{ID: "type", Title: "A piece of metal type: its size and its height", width: 640, height: 360,
		Desc: "A piece of metal type stands upright: a small bar of metal with a letter on top, seen the wrong way round. " +
			"Its size is the body from front to back, the whole bar and not the letter. Its height is from the foot to the face of the letter."}
	d.shape("iron", 190, 130, 310, 130, 310, 310, 190, 310)
	d.shape("iron", 310, 130, 380, 80, 380, 260, 310, 310)
	d.shape("paper", 190, 130, 260, 80, 380, 80, 310, 130)
	d.shape("ink", 245, 119, 290, 87, 301, 87, 289, 97, 315, 97, 327, 87, 338, 87, 294, 119, 283, 119, 304, 103, 278, 103, 256, 119)
	d.line(190, 255, 310, 255, "thin")
	d.line(190, 268, 310, 268, "thin")
	d.line(150, 310, 450, 310, "thin")
	d.arrow(326, 142, 398, 91)
	d.text(420, 120, "start", "size: the body,")
	d.text(420, 141, "start", "front to back")
	d.upright(160, 130, 310, "height", true)
	d.text(151, 246, "end", "with a caliper")
	d.name(420, 50, "start", "face of the letter", 330, 90)
	d.name(420, 230, "start", "body", 345, 210)
	d.name(420, 270, "start", "nick, a groove", 312, 262)
	d.name(420, 340, "start", "foot", 300, 310)
	return d
}

func woodType() *Drawing {
	d := &Drawing{ID: "woodtype", Title: "A letter of wood type: measure the block", width: 640, height: 330,
		Desc: "A wooden block with a large letter on its face, which lies upward and the wrong way round. The size is the length of the block from the top of the letter to its foot. " +
			"Measure the block, not the letter on it. Six lines make an inch."}
	d.rect(220, 40, 170, 240, "wood")
	d.reversed(305, 240, 230, "R")
	d.upright(440, 40, 280, "size: the block", false)
	d.text(449, 188, "start", "in lines, six to the inch")
	d.upright(190, 86, 240, "not the letter", true)
	d.cross(190, 210)
	d.text(305, 312, "middle", "seen from above")
	return d
}

func typeCase() *Drawing {
	d := &Drawing{ID: "case", Title: "A case: a drawer of small boxes", width: 640, height: 330,
		Desc: "A case is a shallow drawer with many small boxes, one for each letter. Measure its outside: the width along the front and the depth from front to back. " +
			"It is heavy when full: two people, one at each end, and never tip it."}
	d.rect(120, 40, 400, 210, "wood")
	for _, x := range []float64{253, 386} {
		d.line(x, 40, x, 250, "thin")
	}
	for col := range 16 {
		if x := 128 + float64(col)*19.6; x < 386 {
			d.line(x+16, 48, x+16, 242, "thin")
		}
	}
	for _, y := range []float64{88, 146, 194} {
		d.line(120, y, 386, y, "thin")
	}
	for row := range 7 {
		for col := range 7 {
			d.rect(390+float64(col)*18, 44+float64(row)*29, 17, 27, "paper")
		}
	}
	d.rect(290, 250, 60, 14, "iron")
	d.across(120, 520, 292, "width, along the front", true)
	d.upright(548, 40, 250, "depth", false)
	d.name(60, 270, "middle", "front", 130, 252)
	d.name(60, 90, "middle", "boxes", 150, 110)
	return d
}

func cabinet() *Drawing {
	d := &Drawing{ID: "cabinet", Title: "A cabinet of cases: count the drawers, measure the outside", width: 640, height: 400,
		Desc: "A cabinet, seen from the front and a little from the side, with twelve shallow drawers that each have a label. Count the drawers and the empty places. " +
			"Measure the width from left to right, the depth from front to back, and the height from the floor to the top."}
	d.shape("wood", 180, 80, 430, 80, 430, 330, 180, 330)
	d.shape("wood", 430, 80, 500, 45, 500, 295, 430, 330)
	d.shape("wood", 180, 80, 250, 45, 500, 45, 430, 80)
	for row := range 12 {
		y := 88 + float64(row)*20
		d.rect(190, y, 230, 16, "paper")
		d.rect(280, y+4, 46, 8, "iron")
	}
	d.across(180, 430, 352, "width", true)
	d.arrow(440, 345, 510, 310)
	d.text(484, 350, "start", "depth")
	d.upright(150, 80, 330, "height", true)
	d.name(560, 130, "middle", "label", 318, 136)
	d.name(560, 200, "middle", "drawer", 405, 196)
	return d
}

func stone() *Drawing {
	d := &Drawing{ID: "stone", Title: "A stone: length, width, thickness", width: 640, height: 330,
		Desc: "A flat slab on a cabinet, seen from the front and above. Measure the length along the front, the width from front to back and the thickness at the edge. It is far heavier than it looks."}
	d.shape("iron", 130, 150, 470, 150, 470, 185, 130, 185)
	d.shape("paper", 130, 150, 210, 80, 550, 80, 470, 150)
	d.shape("iron", 470, 150, 550, 80, 550, 115, 470, 185)
	d.shape("wood", 160, 185, 440, 185, 440, 290, 160, 290)
	d.shape("wood", 440, 185, 520, 142, 520, 240, 440, 290)
	d.across(130, 470, 135, "length", false)
	d.arrow(486, 152, 566, 82)
	d.text(545, 135, "start", "width")
	d.upright(105, 150, 185, "thickness", true)
	d.name(300, 245, "middle", "cabinet or table, a lot of its own", 300, 275)
	return d
}
