package server

import (
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

const (
	heaviest    = 100_000 // kg, of a lot
	largestSide = 10_000  // mm, of a sheet, chase or bed
	largestSize = 100_000 // mm, of a thing as it stands
)

// lotFields are the fields of a lot that a caller may set.
var lotFields = []string{
	"tag", "kind", "class", "title", "description", "make", "model", "serial", "count", "weight", "size",
	"size_as_written", "condition", "condition_note", "parts", "price", "state", "price_paid",
	"press", "metal_type", "wood_type", "cuts", "general", "clear_by",
}

// checkLot reports what is wrong with a lot; at is its path in the request.
func (c *checker) lot(at string, l *pb.Lot) {
	if l == nil {
		c.wrong(at, "is missing")
		return
	}
	c.required(at+".tag", trade.FoldTag(l.GetTag()), 40)
	c.required(at+".title", trade.FoldTitle(l.GetTitle()), 200)
	c.lotTexts(at, l)
	c.lotMeasures(at, l)
	c.kindAndClass(at, l)
	c.parts(at+".parts", l.GetParts())
	c.money(at+".price", l.GetPrice())
	c.money(at+".price_paid", l.GetPricePaid())
	c.date(at+".clear_by", l.GetClearBy())
	c.detail(at, l)
}

func (c *checker) lotTexts(at string, l *pb.Lot) {
	c.text(at+".description", l.GetDescription(), 10_000)
	c.text(at+".make", l.GetMake(), 200)
	c.text(at+".model", l.GetModel(), 200)
	c.text(at+".serial", l.GetSerial(), 200)
	c.text(at+".size_as_written", l.GetSizeAsWritten(), 200)
	c.text(at+".condition_note", l.GetConditionNote(), 2_000)
}

func (c *checker) lotMeasures(at string, l *pb.Lot) {
	if l.Count != nil && l.GetCount() < 1 {
		c.wrong(at+".count", "is %d: it must be at least 1", l.GetCount())
	}
	c.weight(at+".weight", l.GetWeight())
	if s := l.GetSize(); s != nil {
		c.within(at+".size.width_mm", s.WidthMm, largestSize, "mm")
		c.within(at+".size.depth_mm", s.DepthMm, largestSize, "mm")
		c.within(at+".size.height_mm", s.HeightMm, largestSize, "mm")
	}
}

func (c *checker) weight(at string, w *pb.Weight) {
	if w == nil {
		return
	}
	c.within(at+".mass_kg", w.MassKg, heaviest, "kg")
	c.within(at+".low_kg", w.LowKg, heaviest, "kg")
	c.within(at+".high_kg", w.HighKg, heaviest, "kg")
	c.text(at+".basis", w.GetBasis(), 1_000)
	if w.MassKg == nil && (w.LowKg == nil || w.HighKg == nil) {
		c.wrong(at, "says nothing: give mass_kg, or low_kg and high_kg")
	}
	if w.LowKg != nil && w.HighKg != nil && w.GetLowKg() > w.GetHighKg() {
		c.wrong(at, "has low_kg %v above high_kg %v", w.GetLowKg(), w.GetHighKg())
	}
	if _, known := pb.Grounds_name[int32(w.GetGrounds())]; !known {
		c.wrong(at+".grounds", "is %d: not a value of Grounds", w.GetGrounds())
	}
}

func (c *checker) kindAndClass(at string, l *pb.Lot) {
	if _, known := pb.Kind_name[int32(l.GetKind())]; !known {
		c.wrong(at+".kind", "is %d: not a value of Kind", l.GetKind())
		return
	}
	if l.GetClass() == pb.Class_CLASS_UNSPECIFIED {
		return
	}
	if _, known := pb.Class_name[int32(l.GetClass())]; !known {
		c.wrong(at+".class", "is %d: not a value of Class", l.GetClass())
		return
	}
	if of := trade.KindOf(l.GetClass()); of != l.GetKind() {
		c.wrong(at+".class", "%s is a class of %s, and the lot's kind is %s",
			trade.ClassWord(l.GetClass()), trade.KindWord(of), trade.KindWord(l.GetKind()))
	}
}

func (c *checker) parts(at string, p *pb.Parts) {
	for _, list := range [][]string{p.GetOnHand(), p.GetMissing()} {
		if len(list) > 200 {
			c.wrong(at, "lists %d parts: at most 200", len(list))
		}
		for _, part := range list {
			c.required(at, part, 200)
		}
	}
}

// kindOfDetail is the kind that a lot's typed detail is for; other stands for
// every kind that has only the general one.
func kindOfDetail(l *pb.Lot) pb.Kind {
	switch l.GetDetail().(type) {
	case *pb.Lot_Press:
		return pb.Kind_KIND_PRESS
	case *pb.Lot_MetalType:
		return pb.Kind_KIND_METAL_TYPE
	case *pb.Lot_WoodType:
		return pb.Kind_KIND_WOOD_TYPE
	case *pb.Lot_Cuts:
		return pb.Kind_KIND_CUTS
	}
	return pb.Kind_KIND_OTHER
}

func hasOwnDetail(k pb.Kind) bool {
	switch k {
	case pb.Kind_KIND_PRESS, pb.Kind_KIND_METAL_TYPE, pb.Kind_KIND_WOOD_TYPE, pb.Kind_KIND_CUTS:
		return true
	}
	return false
}

func (c *checker) detail(at string, l *pb.Lot) {
	if l.GetDetail() == nil {
		return
	}
	for_ := kindOfDetail(l)
	if fits := for_ == l.GetKind() || for_ == pb.Kind_KIND_OTHER && !hasOwnDetail(l.GetKind()); !fits {
		c.wrong(at, "has the detail of %s, and its kind is %s", trade.KindWord(for_), trade.KindWord(l.GetKind()))
		return
	}
	switch d := l.GetDetail().(type) {
	case *pb.Lot_Press:
		c.press(at+".press", d.Press)
	case *pb.Lot_MetalType:
		c.metalType(at+".metal_type", d.MetalType)
	case *pb.Lot_WoodType:
		c.woodType(at+".wood_type", d.WoodType)
	case *pb.Lot_Cuts:
		c.cuts(at+".cuts", d.Cuts)
	case *pb.Lot_General:
		c.general(at+".general", d.General)
	}
}

func (c *checker) press(at string, d *pb.PressDetail) {
	c.rectangle(at+".chase", d.GetChase())
	c.rectangle(at+".bed", d.GetBed())
	c.rectangle(at+".platen", d.GetPlaten())
	c.rectangle(at+".sheet", d.GetSheet())
	c.within(at+".heaviest_piece_kg", d.HeaviestPieceKg, heaviest, "kg")
}

func (c *checker) metalType(at string, d *pb.MetalTypeDetail) {
	c.fount(at, d.GetSize(), d.GetFace(), d.GetScheme(), d.GetBill(), d.Pieces)
	c.upTo(at+".cases", d.Cases, 10_000, "cases")
	c.within(at+".area_mm2", d.AreaMm2, 1e9, "mm²")
	c.within(at+".height_to_paper_mm", d.HeightToPaperMm, 100, "mm")
}

func (c *checker) woodType(at string, d *pb.WoodTypeDetail) {
	c.fount(at, d.GetSize(), d.GetFace(), d.GetScheme(), d.GetBill(), d.Pieces)
	c.within(at+".height_to_paper_mm", d.HeightToPaperMm, 100, "mm")
}

func (c *checker) fount(at string, size *pb.TypeSize, face, scheme string, bill []*pb.SortCount, pieces *int32) {
	if size != nil {
		c.within(at+".size.points", size.Points, 5_000, "points")
		c.within(at+".size.lines", size.Lines, 400, "lines")
		c.text(at+".size.old_name", size.GetOldName(), 100)
	}
	c.text(at+".face", face, 200)
	c.text(at+".scheme", scheme, 200)
	c.notNegative(at+".pieces", pieces)
	c.bill(at+".bill", bill)
}

func (c *checker) bill(at string, bill []*pb.SortCount) {
	if len(bill) > 1_000 {
		c.wrong(at, "has %d sorts: at most 1000", len(bill))
	}
	seen := map[string]bool{}
	for _, s := range bill {
		c.required(at+".sort", s.GetSort(), 40)
		if seen[s.GetSort()] {
			c.wrong(at, "counts %q twice: once is right", s.GetSort())
		}
		seen[s.GetSort()] = true
		if s.GetCount() < 0 {
			c.wrong(at, "counts %d of %q: it cannot be negative", s.GetCount(), s.GetSort())
		}
	}
}

func (c *checker) cuts(at string, d *pb.CutsDetail) {
	c.notNegative(at+".pieces", d.Pieces)
	c.text(at+".material", d.GetMaterial(), 200)
	c.text(at+".subject", d.GetSubject(), 1_000)
	c.rectangle(at+".face", d.GetFace())
}

func (c *checker) general(at string, d *pb.GeneralDetail) {
	c.text(at+".material", d.GetMaterial(), 200)
	c.notNegative(at+".cases", d.Cases)
	c.rectangle(at+".working_size", d.GetWorkingSize())
	c.within(at+".thickness_mm", d.ThicknessMm, largestSide, "mm")
	c.within(at+".heaviest_piece_kg", d.HeaviestPieceKg, heaviest, "kg")
}

// inputOnly drops what only the server gives.
func inputOnly(l *pb.Lot) *pb.Lot {
	out := proto.CloneOf(l)
	out.Name, out.Town, out.ShopTitle, out.History = "", nil, "", nil
	out.CreateTime, out.UpdateTime, out.Revision, out.Etag = nil, nil, 0, ""
	out.ClearByFromShop = false
	return out
}
