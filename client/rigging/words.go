package rigging

import (
	"fmt"
	"slices"

	"heirpress/search/trade"
)

// lead is the brief in short.
func (r report) lead() []string {
	if len(r.b.Load.Items) == 0 {
		return []string{"There is no lot to plan for."}
	}
	return []string{r.leadWeight(), r.leadVehicle(), r.leadRiggers()}
}

func (r report) leadWeight() string {
	l := r.b.Load
	if len(l.Items) == 1 {
		i := l.Items[0]
		text := "Weight: " + r.masses(i.Weight) + "."
		if !i.Weight.Known {
			text = "Nobody knows what it weighs, and every figure waits for that."
		}
		if i.Piece.Known && (i.Piece.HighKg != i.Weight.HighKg || i.Piece.LowKg != i.Weight.LowKg) {
			text += " Heaviest piece, once it is apart: " + r.masses(i.Piece) + "."
		}
		return text
	}
	text := fmt.Sprintf("%s that weigh %s together", trade.FormatCount(len(l.Items)-len(l.Unweighed), "lot"), trade.FormatMassRange(l.LowKg, l.HighKg, r.u))
	if n := len(l.Unweighed); n > 0 {
		text += fmt.Sprintf("; and %d more of which nobody knows the weight, not counted in any figure here", n)
	}
	if h := r.heaviest(); h != nil {
		text += fmt.Sprintf(". The heaviest is %s, %s: %s", h.Tag, h.Title, r.masses(h.Weight))
	}
	return text + "."
}

// heaviest is the lot whose single thing weighs most at its upper end.
func (r report) heaviest() *Item {
	var best *Item
	for k := range r.b.Load.Items {
		i := &r.b.Load.Items[k]
		if i.Weight.Known && i.StandsAlone && (best == nil || each(*i) > each(*best)) {
			best = i
		}
	}
	return best
}

func each(i Item) float64 { return i.Weight.HighKg / float64(i.Count) }

func (r report) leadVehicle() string {
	v := r.b.Vehicle
	what := v.Kind
	if v.Assumed {
		what += ", assumed since nobody has named one"
	}
	text := fmt.Sprintf("%s with a %s.", capital(trade.FormatCount(len(v.Trips), "trip")), what)
	if len(v.TooMuch) > 0 {
		text += fmt.Sprintf(" %s will not go on it at all.", capital(sentence(v.TooMuch)))
	}
	return text
}

func (r report) leadRiggers() string {
	if n := len(r.b.Riggers.Reasons); n > 0 {
		return fmt.Sprintf("Call professional riggers before anything is moved: %s below. The cautions at the end belong to every figure.", trade.FormatCount(n, "reason"))
	}
	return "Nothing that is known so far calls for professional riggers by itself; the answers to the questions below may. The cautions at the end belong to every figure."
}

func (r report) questions() section {
	s := section{ID: "ask", Heading: "To ask first"}
	var list []string
	for _, q := range r.b.Questions {
		text := q.Text
		if len(q.Tags) > 0 {
			text = tagList(q.Tags) + ": " + text
		}
		list = append(list, text)
	}
	if list != nil {
		s.Blocks = []block{{List: list}}
	}
	return s
}

func (r report) riggers() section {
	s := section{ID: "riggers", Heading: "Professional riggers"}
	if reasons := r.b.Riggers.Reasons; len(reasons) > 0 {
		var list []string
		for _, reason := range reasons {
			list = append(list, r.reason(reason))
		}
		s.Blocks = append(s.Blocks, block{Text: "Call them, because:"}, block{List: list})
	} else {
		s.Blocks = append(s.Blocks, block{Text: fmt.Sprintf(
			"Call them if any of this turns out: a piece over %s on steps, in a basement or upstairs, or over %s anywhere; a crane or forklift; a top-heavy machine on a narrow base; three-phase to disconnect; a floor nobody knows; a door to take out; nobody there who has done it.",
			r.mass(heavyKg), r.mass(veryHeavyKg))})
	}
	s.Blocks = append(s.Blocks, block{Text: "How to choose them:"}, block{List: r.b.Riggers.Choosing})
	return s
}

// ReasonWords is a reason to call riggers, in a sentence.
func ReasonWords(reason RiggerReason, u trade.Units) string { return report{u: u}.reason(reason) }

func (r report) reason(reason RiggerReason) string {
	tags := tagList(reason.Tags)
	switch reason.Code {
	case VeryHeavy:
		return fmt.Sprintf("A piece may be over %s, even stripped: %s.", r.mass(veryHeavyKg), tags)
	case RiggerClass:
		return fmt.Sprintf("Machines of this class are riggers' work whatever the kit: %s.", tags)
	case HeavyOnSteps:
		return fmt.Sprintf("A piece may be over %s, and there are steps or another floor: %s.", r.mass(heavyKg), tags)
	case DoorTooSmall:
		return fmt.Sprintf("A door, or its frame, may have to come out: %s.", tags)
	case BeyondKit:
		return fmt.Sprintf("Heavier, whole, than anything on wheels that was named is rated for: %s.", tags)
	case TopHeavy:
		return fmt.Sprintf("By a guess, top heavy on a base under %s: %s.", r.length(narrowMm), tags)
	case LiveSupply:
		return fmt.Sprintf("Three-phase or direct current to be disconnected, by a licensed electrician: %s.", tags)
	case UnknownGround:
		return fmt.Sprintf("A piece may be over %s, and nobody has said what the floor is at one end or both: %s.", r.mass(heavyKg), tags)
	case LiftingGear:
		return "A hoist or a forklift is to be used: that wants somebody trained on it."
	default:
		return "Nobody there has moved such machines."
	}
}

func (r report) weights() section {
	s := section{ID: "weights", Heading: "Weight and pieces"}
	t := &table{Caption: "What stands by itself", Head: []string{"Lot", "Whole", "Heaviest piece", "Stands on"}}
	for _, i := range r.b.Load.Items {
		if i.StandsAlone {
			t.Rows = append(t.Rows, r.itemRow(i))
		}
	}
	if t.Rows != nil {
		s.Blocks = append(s.Blocks, block{Table: t})
	}
	if goods := r.goods(); goods != nil {
		s.Blocks = append(s.Blocks, block{Text: "In cases and boxes, on pallets:"}, block{List: goods})
	}
	return s
}

func (r report) itemRow(i Item) []string {
	title, whole := i.Title, r.masses(i.Weight)
	if i.Count > 1 {
		title = fmt.Sprintf("%s (%d of them)", title, i.Count)
	}
	piece := r.masses(i.Piece)
	if i.Piece.Known && i.Piece.LowKg == i.Weight.LowKg && i.Piece.HighKg == i.Weight.HighKg {
		piece = "it moves whole"
	}
	return []string{i.Tag + ", " + title, whole, piece, r.outside(i.Outside)}
}

func (r report) outside(o *Outside) string {
	if o == nil {
		return "not known"
	}
	text := r.length(o.WidthMm) + " by " + r.length(o.DepthMm)
	if o.HeightMm > 0 {
		text += ", " + r.length(o.HeightMm) + " high"
	}
	if !o.Stated {
		text += ", planned for its class"
	}
	return text
}

// fewGoods is how many lots of small things are still listed one by one.
const fewGoods = 6

// goods lists what is boxed: one by one if it is little, else by kind.
func (r report) goods() []string {
	var boxed []Item
	for _, i := range r.b.Load.Items {
		if !i.StandsAlone {
			boxed = append(boxed, i)
		}
	}
	var list []string
	if len(boxed) <= fewGoods {
		for _, i := range boxed {
			list = append(list, fmt.Sprintf("%s, %s: %s", i.Tag, i.Title, r.masses(i.Weight)))
		}
		return list
	}
	for _, k := range kindsOf(boxed) {
		list = append(list, r.kindLine(k, boxed))
	}
	return list
}

func kindsOf(items []Item) []string {
	var kinds []string
	for _, i := range items {
		if !slices.Contains(kinds, i.Kind) {
			kinds = append(kinds, i.Kind)
		}
	}
	return kinds
}

// kindLine adds up the lots of one kind.
func (r report) kindLine(kind string, items []Item) string {
	var tags, unweighed []string
	low, high := 0.0, 0.0
	for _, i := range items {
		if i.Kind != kind {
			continue
		}
		tags = append(tags, i.Tag)
		if !i.Weight.Known {
			unweighed = append(unweighed, i.Tag)
		}
		low, high = low+i.Weight.LowKg, high+i.Weight.HighKg
	}
	text := fmt.Sprintf("%s (%s): ", capital(kind), tagList(tags))
	switch {
	case len(unweighed) == len(tags):
		return text + "weight not known"
	case len(unweighed) > 0:
		return fmt.Sprintf("%s%s, without %s, whose weight is not known", text, trade.FormatMassRange(low, high, r.u), tagList(unweighed))
	}
	return text + trade.FormatMassRange(low, high, r.u)
}
