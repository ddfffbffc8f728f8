package pages

import (
	"fmt"
	"strconv"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

// facts gathers what is known of a lot; what nobody has said is left out.
type facts []fact

func (f *facts) say(name, text string) {
	if text = strings.TrimSpace(text); text != "" {
		*f = append(*f, fact{name, text})
	}
}

// measures are what is known of a lot, in a set order, each measure in both systems.
func measures(l *pb.Lot) facts {
	var f facts
	f.say("Kind", strings.Join(said(trade.KindWord(l.GetKind()), trade.ClassWord(l.GetClass())), ", "))
	f.say("Make", strings.Join(said(l.GetMake(), l.GetModel()), " "))
	f.say("Serial number", l.GetSerial())
	f.say("Size", l.GetSizeAsWritten())
	f.number("How many", l.Count)
	f.detail(l)
	f.say("Weight", both(func(u trade.Units) string { return notice.Weight(l, u) }))
	f.outside(l.GetSize())
	f.say("Condition", notice.Phrases(trade.ConditionWord(l.GetCondition()), l.GetConditionNote()))
	f.say("Parts there", strings.Join(l.GetParts().GetOnHand(), ", "))
	f.say("Missing", missingText(l.GetParts()))
	return f
}

func said(texts ...string) (all []string) {
	for _, t := range texts {
		if t != "" {
			all = append(all, t)
		}
	}
	return all
}

func missingText(p *pb.Parts) string {
	if p.GetRestComplete() && len(p.GetMissing()) == 0 {
		return "nothing"
	}
	return strings.Join(p.GetMissing(), ", ")
}

// both is a measure as Americans write it, and in brackets as others do.
func both(write func(trade.Units) string) string {
	us, metric := write(trade.US), write(trade.Metric)
	if us == metric {
		return us
	}
	return us + " (" + metric + ")"
}

func (f *facts) rectangle(name string, r *pb.Rectangle) {
	if r != nil {
		f.say(name, both(func(u trade.Units) string { return trade.FormatRectangle(r, u) }))
	}
}

func (f *facts) length(name string, mm *float64) {
	if mm != nil {
		f.say(name, both(func(u trade.Units) string { return trade.FormatLength(*mm, u) }))
	}
}

func (f *facts) mass(name string, kg *float64) {
	if kg != nil {
		f.say(name, both(func(u trade.Units) string { return trade.FormatMass(*kg, u) }))
	}
}

func (f *facts) number(name string, n *int32) {
	if n != nil {
		f.say(name, strconv.Itoa(int(*n)))
	}
}

func (f *facts) outside(s *pb.Size) {
	if s != nil {
		f.length("Width", s.WidthMm)
		f.length("Depth", s.DepthMm)
		f.length("Height", s.HeightMm)
	}
}

// detail is what only lots of its kind have.
func (f *facts) detail(l *pb.Lot) {
	switch d := l.GetDetail().(type) {
	case *pb.Lot_Press:
		f.press(d.Press)
	case *pb.Lot_MetalType:
		f.metalType(d.MetalType)
	case *pb.Lot_WoodType:
		f.fount(d.WoodType)
		f.number("Pieces", d.WoodType.Pieces)
		f.length("Height to paper", d.WoodType.HeightToPaperMm)
	case *pb.Lot_Cuts:
		f.say("Subject", d.Cuts.GetSubject())
		f.say("Made of", d.Cuts.GetMaterial())
		f.rectangle("Face", d.Cuts.GetFace())
		f.number("Pieces", d.Cuts.Pieces)
	case *pb.Lot_General:
		f.general(d.General)
	}
}

func (f *facts) press(d *pb.PressDetail) {
	f.rectangle("Chase, inside", d.GetChase())
	f.rectangle("Bed", d.GetBed())
	f.rectangle("Platen", d.GetPlaten())
	f.rectangle("Largest sheet", d.GetSheet())
	f.say("Drive", trade.ValueWord("DRIVE_", d.GetDrive()))
	f.say("Supply", trade.ValueWord("SUPPLY_", d.GetSupply()))
	f.mass("Heaviest piece", d.HeaviestPieceKg)
}

func (f *facts) metalType(d *pb.MetalTypeDetail) {
	f.fount(d)
	f.number("Pieces", d.Pieces)
	if d.Cases != nil {
		f.say("Cases", plainNumber(d.GetCases()))
	}
	f.say("Metal", trade.ValueWord("ALLOY_", d.GetAlloy()))
	f.length("Height to paper", d.HeightToPaperMm)
}

// A fount is what metal type and wood type have in common.
type fount interface {
	GetSize() *pb.TypeSize
	GetFace() string
	GetScheme() string
	GetBill() []*pb.SortCount
}

func (f *facts) fount(d fount) {
	if d.GetSize() != nil {
		f.say("Body", trade.FormatTypeSize(d.GetSize()))
	}
	f.say("Face", d.GetFace())
	f.say("Scheme", d.GetScheme())
	var counted []string
	for _, s := range d.GetBill() {
		counted = append(counted, fmt.Sprintf("%s %d", s.GetSort(), s.GetCount()))
	}
	f.say("Counted", strings.Join(counted, ", "))
}

func (f *facts) general(d *pb.GeneralDetail) {
	f.say("Made of", d.GetMaterial())
	f.number("Cases", d.Cases)
	f.rectangle("Working size", d.GetWorkingSize())
	f.length("Thickness", d.ThicknessMm)
	f.say("Supply", trade.ValueWord("SUPPLY_", d.GetSupply()))
	f.mass("Heaviest piece", d.HeaviestPieceKg)
}
