package rigging

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"heirpress/search/trade"
)

func (r report) byHand() section {
	s := section{ID: "hand", Heading: "By hand"}
	var limits, pieces []string
	for _, l := range r.b.ByHand.Limits {
		limits = append(limits, fmt.Sprintf("%s, hands %s out from the ankles: %s", capital(l.Lift), r.length(l.HorizontalMm), r.downTo(l.LimitKg)))
	}
	s.Blocks = []block{
		{Text: "One person, two hands, now and then, nothing else: for that the NIOSH lifting equation (publication 94-110) recommends at most:"},
		{List: limits},
	}
	for _, p := range r.b.ByHand.Pieces {
		pieces = append(pieces, r.handPiece(p))
	}
	if pieces == nil {
		s.Blocks = append(s.Blocks, block{Text: "Of this load only small parts are lifted by hand."})
		return s
	}
	s.Blocks = append(s.Blocks, block{Text: "Held against that:"}, block{List: pieces},
		block{Text: "The equation does not say what two people may lift together. Draw a case onto a cart at its own height rather than carry it, split what can be split, and slide a tabletop press onto a cart as high as its bench."})
	return s
}

// downTo shows a limit rounded down.
func (r report) downTo(kg float64) string { return r.mass(floorTo(kg, r.u)) }

func (r report) handPiece(p HandPiece) string {
	mass := trade.FormatMassRange(p.LowKg, p.HighKg, r.u)
	index := fmt.Sprintf("%s to %s", decimal(p.LowIndex, 1), decimal(p.HighIndex, 1))
	switch {
	case decimal(p.LowIndex, 1) == decimal(p.HighIndex, 1):
		index = decimal(p.HighIndex, 1)
	case len(p.Tags) > 1:
		mass, index = "up to "+r.mass(p.HighKg), "up to "+decimal(p.HighIndex, 1)
	}
	verdict := "may be more than one person should lift"
	switch {
	case p.LowIndex > 3:
		verdict = "far beyond one person"
	case p.LowIndex > 1:
		verdict = "beyond one person"
	case p.HighIndex <= 1:
		verdict = "within it, if nothing else makes the lift worse"
	}
	return fmt.Sprintf("%s (%s): %s, %s times the limit: %s", capital(p.What), tagList(p.Tags), mass, index, verdict)
}

// fewRolled is how many things are listed whatever they weigh.
const fewRolled = 5

func (r report) handling() section {
	s := section{ID: "wheels", Heading: "On wheels and in slings"}
	if len(r.b.Handling) == 0 {
		return s
	}
	t := &table{Caption: "Whole, at the upper end of the weight, and type cabinets empty", Head: []string{"Lot", "Weight", "Push to start", "To keep rolling"}}
	for _, p := range r.b.Handling[0].Ramps {
		t.Head = append(t.Head, "Up "+slopeWords(p.Slope))
	}
	for _, p := range r.b.Handling[0].Slings {
		t.Head = append(t.Head, fmt.Sprintf("Sling leg at %g degrees", p.Deg))
	}
	lighter := 0
	for _, h := range r.b.Handling {
		if len(t.Rows) >= fewRolled && h.MassKg < topHeavyKg {
			lighter++
			continue
		}
		t.Rows = append(t.Rows, r.handlingRow(h))
	}
	s.Blocks = []block{
		{Text: fmt.Sprintf("Pushes are for steel pipe or hard wheels on a smooth hard floor, 3 percent of the weight, and twice that to start (from memory and practice). One person: about %s to start and %s to keep going. Where that is not enough, or above %s, use a winch, with a second line to hold the load back, and look at every strap and hook first.",
			r.mass(personStartKg), r.mass(personKeepKg), slopeWords(steepest))},
		{Table: t},
		{Text: "Slings: the pull in each of two legs, by the angle from the horizontal. Of a stiff load with three or more legs only two are counted on (three of chain)."},
	}
	if lighter > 0 {
		s.Blocks = append(s.Blocks, block{Text: fmt.Sprintf("%s under %s that roll too are not listed: they take less.", capital(trade.FormatCount(lighter, "thing")), r.mass(topHeavyKg))})
	}
	if list := r.exceeded(); list != nil {
		s.Blocks = append(s.Blocks, block{Text: "More than the crew or the kit is good for:"}, block{List: list})
	}
	return s
}

func (r report) handlingRow(h Handling) []string {
	row := []string{h.Tag, r.mass(h.MassKg), fmt.Sprintf("%s (%d people)", r.force(h.StartKg), h.People), r.force(h.KeepKg)}
	if h.People == 1 {
		row[2] = r.force(h.StartKg) + " (1 person)"
	}
	for _, p := range h.Ramps {
		row = append(row, r.force(p.PushKg))
	}
	for _, p := range h.Slings {
		row = append(row, r.force(p.LegKg))
	}
	return row
}

// exceeded lists each piece of kit with what is too heavy for it.
func (r report) exceeded() []string {
	var kit []Rated
	tags := map[Rated][]string{}
	for _, h := range r.b.Handling {
		for _, x := range h.Exceeds {
			if tags[x] == nil {
				kit = append(kit, x)
			}
			tags[x] = append(tags[x], h.Tag)
		}
	}
	var list, tooFew []string
	for _, h := range r.b.Handling {
		if h.TooFew {
			tooFew = append(tooFew, h.Tag)
		}
	}
	if tooFew != nil {
		list = append(list, "More people than come, so use the winch: "+tagList(tooFew))
	}
	for _, k := range kit {
		list = append(list, fmt.Sprintf("%s, %s: %s", capital(k.Name), r.mass(k.RatedKg), tagList(tags[k])))
	}
	return list
}

func slopeWords(s Slope) string { return fmt.Sprintf("%g in %g", s.Rise, s.Run) }

func (r report) ends() section {
	s := section{ID: "ways", Heading: "The way out and in"}
	if len(r.b.Load.Items) == 0 {
		return s
	}
	if r.b.Ends[0].Widest == nil && len(r.b.Ends[0].Unsized) == 0 {
		return s
	}
	from, to := r.endLines(r.b.Ends[0]), r.endLines(r.b.Ends[1])
	if slices.Equal(from, to) {
		s.Blocks = append(s.Blocks, block{Sub: "At both ends"}, block{List: from})
	} else {
		s.Blocks = append(s.Blocks, block{Sub: capital(shopEnd)}, block{List: from}, block{Sub: capital(homeEnd)}, block{List: to})
	}
	if f := r.b.Ends[0].Floor; f.Tag != "" {
		s.Blocks = append(s.Blocks, block{Sub: "What the floors are asked to bear"}, block{Text: r.floorWords(f)})
	}
	return s
}

func (r report) endLines(e EndCheck) []string {
	lines := append(r.doorLines(e), r.turnLines(e)...)
	if e.Steps != nil {
		lines = append(lines, r.stepLine(*e.Steps))
	}
	if e.Elevator != nil {
		text := fmt.Sprintf("Elevator rated for %s, people and dolly included", r.mass(e.Elevator.RatedKg))
		if len(e.Elevator.Exceeds) > 0 {
			text += ": not for " + tagList(e.Elevator.Exceeds) + " whole"
		}
		lines = append(lines, text+".")
	}
	if e.Floor.Tag != "" {
		lines = append(lines, r.floorLine(e.Floor))
	}
	return lines
}

func (r report) doorLines(e EndCheck) []string {
	var lines []string
	for _, d := range e.Doors {
		lines = append(lines, r.doorLine(d))
	}
	if e.Widest == nil {
		return lines
	}
	if len(e.Doors) == 0 {
		text := fmt.Sprintf("Doors: nobody has said. %s needs the most, %s clear as it stands, with 2 in for hands on each side.", e.Widest.Tag, r.length(e.Widest.NeedMm))
		if e.Widest.FlywheelMm > 0 {
			text += " The flywheel off saves about half of " + r.length(e.Widest.FlywheelMm) + ", its shaft as well the rest."
		}
		lines = append(lines, text)
	}
	if len(e.Unsized) > 0 {
		lines = append(lines, "Not held against any door or turn, for nobody knows how large they are: "+tagList(e.Unsized)+".")
	}
	return lines
}

func (r report) doorLine(d DoorCheck) string {
	name := d.Name
	if name == "" {
		name = "a door"
	}
	text := fmt.Sprintf("%s, %s clear", capital(name), r.length(d.WidthMm))
	if d.HeightMm > 0 {
		text += " and " + r.length(d.HeightMm) + " high"
	}
	text += ": "
	var parts []string
	add := func(what string, tags []string) {
		if len(tags) > 0 {
			parts = append(parts, what+" "+tagList(tags))
		}
	}
	add("wide enough as they stand for", d.Passes)
	add("with the flywheel off, and perhaps its shaft, for", r.needs(d.Stripped))
	add("too narrow, as far as is known, for", r.needs(d.TooWide))
	add("too low for", r.needs(d.TooHigh))
	if parts == nil {
		parts = []string{"nothing of a known size to hold against it"}
	}
	text += strings.Join(parts, "; ")
	return text + ". Measure both before you rely on it."
}

// needs writes tags with what each needs: "P2 (56 in)".
func (r report) needs(all []Need) []string {
	var list []string
	for _, n := range all {
		list = append(list, fmt.Sprintf("%s (%s)", n.Tag, r.length(n.NeedMm)))
	}
	return list
}

func (r report) turnLines(e EndCheck) []string {
	var lines []string
	for _, t := range e.Turns {
		name := t.Name
		if name == "" {
			name = "a turn"
		}
		text := fmt.Sprintf("%s, %s clear", capital(name), r.length(t.RoomMm))
		if len(t.TooLong) > 0 {
			text += ": too little to turn these on the spot: " + tagList(r.needs(t.TooLong)) + ". Take them round in pieces or another way."
		} else {
			text += ": as far as sizes are known, everything can be turned on the spot."
		}
		lines = append(lines, text)
	}
	if len(e.Turns) == 0 && e.Longest != nil {
		lines = append(lines, fmt.Sprintf("Turns: nobody has said. %s needs the most, %s from corner to corner.", e.Longest.Tag, r.length(e.Longest.NeedMm)))
	}
	return lines
}

func (r report) stepLine(c StepsCheck) string {
	text := fmt.Sprintf("Steps: %d up, %d down; at 7 in a step the longer flight is %s. A ramp over it is %s long at 1 in 12, %s at 1 in 8.",
		c.Up, c.Down, r.length(c.RiseMm), r.length(c.Ramp12Mm), r.length(c.Ramp8Mm))
	if len(c.Heavy) > 0 {
		text += fmt.Sprintf(" With a piece over %s that is riggers' work: %s.", r.mass(heavyKg), tagList(c.Heavy))
	}
	return text
}

func (r report) floorLine(f FloorCheck) string {
	ground := map[Ground]string{SlabGround: "a slab", WoodGround: "wood on joists", UnknownFloor: "nobody has said what it is made of"}[f.Ground]
	level := map[Level]string{GroundLevel: "on the ground", Basement: "in a basement", UpperLevel: "upstairs", UnknownLevel: "nor at what level"}[f.Level]
	if f.Level == UnknownLevel && f.Ground != UnknownFloor {
		level = "nobody has said at what level"
	}
	text := "Floor: " + ground + ", " + level
	if f.Use != "" {
		text += fmt.Sprintf(", made for %s use: %s by design", f.Use, r.pressure(f.DesignKgPerM2))
	}
	if f.RatedKgPerM2 > 0 {
		text += ", rated for " + r.pressure(f.RatedKgPerM2)
	}
	text += ". " + floorQuestion(f)
	if least := cmp.Or(f.RatedKgPerM2, f.DesignKgPerM2); least > 0 && f.SpreadKgPerM2 > least {
		text += fmt.Sprintf(" %s brings more than that even on a skid: who has looked at it?", f.Tag)
	}
	return text
}

// floorQuestion asks; it never answers.
func floorQuestion(f FloorCheck) string {
	switch {
	case f.Level == UpperLevel:
		return "Has an engineer seen the joists and the walls under them?"
	case f.Ground == WoodGround || f.Ground == UnknownFloor:
		return "Which way do the joists run, how far, and what is below?"
	case f.Level == Basement:
		return "Is the slab sound, and what is the way down?"
	}
	return "Is the slab sound, and is there a cellar, a pit or a duct below it?"
}

func (r report) floorWords(f FloorCheck) string {
	return fmt.Sprintf("%s presses hardest: %s, by a guess at its feet %s under it, and %s on a skid and timbers that reach a foot further all round. For comparison, uniform design loads (ASCE 7): a dwelling or garage %s, an office %s, stairs %s, light manufacturing or storage %s, heavy %s. A patch load is not comparable with them one to one. Is this floor made for it? Go over walls and beams, lay plywood and timbers across the joists, choose a slab on the ground where there is one, and upstairs ask an engineer.",
		f.Tag, r.mass(f.MassKg), r.pressure(f.PatchKgPerM2), r.pressure(f.SpreadKgPerM2),
		r.pressure(40*kgPerM2OfPsf), r.pressure(50*kgPerM2OfPsf), r.pressure(100*kgPerM2OfPsf), r.pressure(125*kgPerM2OfPsf), r.pressure(250*kgPerM2OfPsf))
}
