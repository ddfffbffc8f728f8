package trade

import (
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
)

// UnknownFact is a fact of a lot that nobody has said, with the answers that a
// keeper could give.
type UnknownFact struct {
	// Question asks the keeper for it, in plain words.
	Question string
	// Completeness is true where the answer can change how complete the lot is, and
	// Rigging where it can change its weight, its heaviest piece or its outside.
	Completeness, Rigging bool

	lot     *pb.Lot
	answers []func(*pb.Lot)
}

// Answers returns copies of the lot with the fact filled in. They are examples
// that span what the answer could be, not all there are.
func (u UnknownFact) Answers() []*pb.Lot {
	var lots []*pb.Lot
	for _, fill := range u.answers {
		answered := &pb.Lot{}
		proto.Merge(answered, u.lot)
		fill(answered)
		lots = append(lots, answered)
	}
	return lots
}

// Unknowns lists what nobody has said of a lot and what would matter to a seeker
// who must have certain parts and has a text to set: in a fixed order, with no
// judgement of which matters most. It has no questions of weight for a lot whose
// weight was measured or stated.
func Unknowns(lot *pb.Lot, mustHave []string, textToSet string) []UnknownFact {
	var all []UnknownFact
	for _, ask := range []func(*pb.Lot) []UnknownFact{askClass, askSize, askWeight, askOutside, askCondition, askParts} {
		all = append(all, ask(lot)...)
	}
	all = append(all, askMusts(lot, mustHave)...)
	all = append(all, askSorts(lot, textToSet)...)
	for i := range all {
		all[i].lot = lot
	}
	return all
}

var classQuestions = map[pb.Kind]string{
	pb.Kind_KIND_PRESS:    "What sort of press is it? A photograph from the front and one from the side will do.",
	pb.Kind_KIND_CUTTERS:  "Does the cutter stand on a bench or on the floor, and is it worked by a lever or by a motor?",
	pb.Kind_KIND_CASTERS:  "Does it cast single types, or whole lines, and has it a keyboard?",
	pb.Kind_KIND_CABINETS: "Is it a cabinet with cases of type, loose cases, or a rack for galleys or furniture?",
	pb.Kind_KIND_STONES:   "Is the top of stone, or of steel or iron?",
}

func askClass(lot *pb.Lot) []UnknownFact {
	q := classQuestions[lot.GetKind()]
	if q == "" || lot.GetClass() != pb.Class_CLASS_UNSPECIFIED {
		return nil
	}
	var answers []func(*pb.Lot)
	for _, c := range ClassesOf(lot.GetKind()) {
		answers = append(answers, func(l *pb.Lot) { l.Class = c })
	}
	return []UnknownFact{{Question: q, answers: answers, Completeness: true, Rigging: true}}
}

// askSize asks for the size that the weight and the sheet follow from.
func askSize(lot *pb.Lot) []UnknownFact {
	rows := rowsOf(lot.GetClass())
	if len(rows) < 2 || governing(lot) != nil {
		return nil
	}
	var answers []func(*pb.Lot)
	for _, r := range rows {
		answers = append(answers, func(l *pb.Lot) { setGoverning(l, r.least*MmPerInch) })
	}
	what := askedSize(lot.GetClass())
	if KindOf(lot.GetClass()) == pb.Kind_KIND_CUTTERS {
		what = "the longest cut, in inches"
	}
	return []UnknownFact{{Question: "Would you measure " + what + "?", answers: answers, Rigging: true}}
}

// setGoverning gives a lot a square size of its class.
func setGoverning(lot *pb.Lot, mm float64) {
	r := &pb.Rectangle{WidthMm: mm, HeightMm: mm}
	if lot.GetKind() != pb.Kind_KIND_PRESS {
		d := lot.GetGeneral()
		if d == nil {
			d = &pb.GeneralDetail{}
			lot.Detail = &pb.Lot_General{General: d}
		}
		d.WorkingSize = r
		return
	}
	p := lot.GetPress()
	if p == nil {
		p = &pb.PressDetail{}
		lot.Detail = &pb.Lot_Press{Press: p}
	}
	*sizedPart(p, "", lot.GetClass()) = r
}

// guessesKg are what something of unknown weight may weigh.
var guessesKg = []float64{20, 200, 2000}

func askWeight(lot *pb.Lot) []UnknownFact {
	e := WeightOf(lot)
	if e.Known && e.Grounds != pb.Grounds_GROUNDS_ESTIMATED {
		return nil
	}
	figures := guessesKg
	if e.Known {
		figures = []float64{e.LowKg, e.MidKg(), e.HighKg}
	}
	var answers []func(*pb.Lot)
	for _, kg := range figures {
		answers = append(answers, func(l *pb.Lot) {
			l.Weight = &pb.Weight{MassKg: &kg, Grounds: pb.Grounds_GROUNDS_STATED}
		})
	}
	return []UnknownFact{{Question: "What does it weigh? A name plate, a bill of lading or a mover's note may say.", answers: answers, Rigging: true}}
}

func askOutside(lot *pb.Lot) []UnknownFact {
	if lot.GetSize().GetWidthMm() > 0 && lot.GetSize().GetDepthMm() > 0 || MovesWhole(lot) == No {
		return nil
	}
	small, large := outsideOf(lot)
	var answers []func(*pb.Lot)
	for _, s := range []*pb.Size{small, large} {
		answers = append(answers, func(l *pb.Lot) { l.Size = s })
	}
	return []UnknownFact{{Question: "How wide, deep and high is it, at its widest?", answers: answers, Rigging: true}}
}

// outsideOf is the smallest and the largest a lot may be outside: from its plan,
// or from half a metre to two.
func outsideOf(lot *pb.Lot) (small, large *pb.Size) {
	if p, ok := PlanOf(lot); ok {
		return p.Smallest, p.Largest
	}
	cube := func(mm float64) *pb.Size { return &pb.Size{WidthMm: &mm, DepthMm: &mm, HeightMm: &mm} }
	return cube(500), cube(2000)
}

func askCondition(lot *pb.Lot) []UnknownFact {
	if lot.GetCondition() != pb.Condition_CONDITION_UNSPECIFIED {
		return nil
	}
	var answers []func(*pb.Lot)
	for _, n := range conditionNames {
		answers = append(answers, func(l *pb.Lot) { l.Condition = n.is })
	}
	q := "Is it sound: no cracks, nothing seized, broken or worn out?"
	if _, isType := fountOf(lot); isType {
		q = "Is the type sound: no battered faces, cracks, worm or white bloom, and not mixed?"
	}
	return []UnknownFact{{Question: q, answers: answers, Completeness: true}}
}

// askedParts is how many parts a question names.
const askedParts = 4

func askParts(lot *pb.Lot) []UnknownFact {
	if _, isType := fountOf(lot); isType || lot.GetParts().GetRestComplete() {
		return nil
	}
	unsaid := unsaidParts(lot)
	q := "Is anything missing?"
	if len(unsaid) > 0 {
		q = "Are these there: " + strings.Join(unsaid[:min(len(unsaid), askedParts)], ", ") + "? And is anything else missing?"
	}
	all := func(l *pb.Lot) { partsOf(l).RestComplete = true }
	none := func(l *pb.Lot) {
		all(l)
		l.Parts.Missing = append(l.Parts.Missing, unsaid...)
	}
	return []UnknownFact{{Question: q, answers: []func(*pb.Lot){all, none}, Completeness: true}}
}

// partsOf is what is said of a lot's parts, to be added to.
func partsOf(lot *pb.Lot) *pb.Parts {
	if lot.Parts == nil {
		lot.Parts = &pb.Parts{}
	}
	return lot.Parts
}

// unsaidParts names the parts of which nobody has said whether they are there,
// the hardest to replace first.
func unsaidParts(lot *pb.Lot) []string {
	a, list, p := account{lot: lot}, classParts[lot.GetClass()], lot.GetParts()
	missing, _ := match(lot.GetClass(), p.GetMissing())
	onHand, _ := match(lot.GetClass(), a.onHand())
	var unsaid []Part
	for i, part := range list {
		if have(part, i, p, missing, onHand, lot.GetCondition()) == Unknown {
			unsaid = append(unsaid, part)
		}
	}
	slices.SortStableFunc(unsaid, func(a, b Part) int { return int(b.Hard - a.Hard) })
	var names []string
	for _, part := range unsaid {
		names = append(names, part.Name)
	}
	return names
}

func askMusts(lot *pb.Lot, mustHave []string) []UnknownFact {
	var all []UnknownFact
	asked := map[string]bool{}
	for _, must := range mustHave {
		if HasPart(lot, must) != Unknown || asked[must] {
			continue
		}
		asked[must] = true
		all = append(all, UnknownFact{
			Question: fmt.Sprintf("Does it have %s?", must),
			answers: []func(*pb.Lot){
				func(l *pb.Lot) { partsOf(l).OnHand = append(l.Parts.OnHand, must) },
				func(l *pb.Lot) { partsOf(l).Missing = append(l.Parts.Missing, must) },
			},
			Completeness: true,
		})
	}
	return all
}

// askSorts asks for a count: of the letters of the text, or of all.
func askSorts(lot *pb.Lot, text string) []UnknownFact {
	f, ok := fountOf(lot)
	if !ok {
		return nil
	}
	wanted, q := f.wanted, "How many pieces are there of each letter and figure?"
	if strings.TrimSpace(text) != "" {
		wanted = Needed(text)
		q = "How many are there of each of these: " + strings.Join(sortNames(f.unsure(wanted)), ", ") + "?"
	}
	if len(f.unsure(wanted)) == 0 {
		return nil
	}
	low, high := f.bills(wanted)
	return []UnknownFact{{
		Question:     q,
		answers:      []func(*pb.Lot){f.counting(wanted, high), f.counting(wanted, low)},
		Completeness: true, Rigging: true,
	}}
}

// unsure are the sorts of which it is not known how many there are.
func (f *fount) unsure(wanted Bill) []string {
	var sorts []string
	for _, s := range wanted.Sorts() {
		if low, high := f.sort(s); min(low, wanted[s]) != min(high, wanted[s]) {
			sorts = append(sorts, s)
		}
	}
	return sorts
}

// counting counts so many of the sorts that were not known, but no more pieces
// than the lot has.
func (f *fount) counting(wanted, there Bill) func(*pb.Lot) {
	bill, left := Bill{}, f.pieces-f.counted.Pieces()
	for _, s := range f.unsure(wanted) {
		bill[s] = min(wanted[s], there[s], left)
		left -= bill[s]
	}
	for s, n := range f.counted {
		bill[s] = n
	}
	return func(lot *pb.Lot) { setBill(lot, bill.Counts()) }
}

func setBill(lot *pb.Lot, bill []*pb.SortCount) {
	if lot.GetKind() == pb.Kind_KIND_WOOD_TYPE {
		if lot.GetWoodType() == nil {
			lot.Detail = &pb.Lot_WoodType{WoodType: &pb.WoodTypeDetail{}}
		}
		lot.GetWoodType().Bill = bill
		return
	}
	if lot.GetMetalType() == nil {
		lot.Detail = &pb.Lot_MetalType{MetalType: &pb.MetalTypeDetail{}}
	}
	lot.GetMetalType().Bill = bill
}
