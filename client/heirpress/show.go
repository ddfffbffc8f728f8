package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

func (a *app) show() *cobra.Command {
	return &cobra.Command{
		Use:   "show ID|TAG",
		Short: "one shop or lot",
		Example: `  heirpress show P3
  heirpress show marrowby-job-printing-k3q7z
  heirpress show marrowby-job-printing-k3q7z/p3`,
		Args: words(1, 1, "the ID of a shop or a lot, or a lot's tag"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error { return a.showOne(c.Context(), conn, args[0]) })
		},
	}
}

func (a *app) showOne(ctx context.Context, conn *client.Client, what string) error {
	found, err := conn.Lookup(ctx, what)
	if err != nil {
		return err
	}
	if found.Lot != nil {
		return a.showLot(found.Lot)
	}
	return a.showShop(ctx, conn, found.Shop)
}

func (a *app) showShop(ctx context.Context, conn *client.Client, s *pb.Shop) error {
	if a.json {
		return a.printJSON(s)
	}
	a.printf("%s, %s (%s)\n", s.GetTitle(), s.GetTown().GetLabel(), short(s.GetName()))
	a.line("story", s.GetStory())
	a.line("access", s.GetAccess())
	a.line("clear by", trade.FormatDate(s.GetClearBy()))
	a.line("collection", s.GetCollectionName())
	a.printf("  %s\n", count(int(s.GetLotCount()), "lot"))
	lots, err := conn.AllLots(ctx, s.GetName())
	if err != nil {
		return err
	}
	for _, l := range lots {
		a.printf("  %s: %s; %s\n", l.GetTag(), l.GetTitle(), a.facts(l))
	}
	return nil
}

// line prints a named line, if there is anything to say.
func (a *app) line(name, text string) {
	if text = strings.TrimSpace(text); text != "" {
		a.printf("  %s: %s\n", name, text)
	}
}

func (a *app) showLot(l *pb.Lot) error {
	if a.json {
		return a.printJSON(l)
	}
	a.printf("%s, tag %s (%s)\n", l.GetTitle(), l.GetTag(), short(l.GetName()))
	a.line("shop", where(l))
	a.line("kind", kindFact(l))
	a.line("make", strings.Join(nonEmpty(l.GetMake(), l.GetModel()), " "))
	a.line("serial", l.GetSerial())
	a.line("size", l.GetSizeAsWritten())
	a.detail(l)
	a.line("count", countFact(l))
	a.line("weight", a.weightFact(l))
	a.line("outside", a.sizeFact(l.GetSize()))
	a.line("condition", strings.Join(nonEmpty(trade.ConditionWord(l.GetCondition()), l.GetConditionNote()), "; "))
	a.line("parts there", strings.Join(l.GetParts().GetOnHand(), ", "))
	a.line("missing", missingWords(l.GetParts()))
	a.line("price", priceFact(l))
	a.line("paid", trade.FormatMoney(l.GetPricePaid()))
	a.line("clear by", trade.FormatDate(l.GetClearBy()))
	a.line("about", l.GetDescription())
	a.line("state", historyFact(l))
	return nil
}

func kindFact(l *pb.Lot) string {
	if l.GetClass() == pb.Class_CLASS_UNSPECIFIED {
		return trade.KindWord(l.GetKind())
	}
	return trade.KindWord(l.GetKind()) + ", " + trade.ClassWord(l.GetClass())
}

func nonEmpty(texts ...string) []string {
	var said []string
	for _, t := range texts {
		if t != "" {
			said = append(said, t)
		}
	}
	return said
}

func countFact(l *pb.Lot) string {
	if l.Count == nil {
		return ""
	}
	return fmt.Sprint(l.GetCount())
}

func missingWords(p *pb.Parts) string {
	if p.GetRestComplete() && len(p.GetMissing()) == 0 {
		return "nothing"
	}
	return strings.Join(p.GetMissing(), ", ")
}

func (a *app) sizeFact(s *pb.Size) string {
	var said []string
	say := func(name string, mm *float64) {
		if mm != nil {
			said = append(said, name+" "+trade.FormatLength(*mm, a.unitSystem()))
		}
	}
	if s != nil {
		say("width", s.WidthMm)
		say("depth", s.DepthMm)
		say("height", s.HeightMm)
	}
	return strings.Join(said, ", ")
}

// detail prints what only lots of this kind have.
func (a *app) detail(l *pb.Lot) {
	u := a.unitSystem()
	switch d := l.GetDetail().(type) {
	case *pb.Lot_Press:
		a.line("chase, inside", trade.FormatRectangle(d.Press.GetChase(), u))
		a.line("bed", trade.FormatRectangle(d.Press.GetBed(), u))
		a.line("platen", trade.FormatRectangle(d.Press.GetPlaten(), u))
		a.line("largest sheet", trade.FormatRectangle(d.Press.GetSheet(), u))
	case *pb.Lot_MetalType:
		a.fount(d.MetalType.GetSize(), d.MetalType.GetFace(), d.MetalType.GetScheme(), d.MetalType.Pieces)
	case *pb.Lot_WoodType:
		a.fount(d.WoodType.GetSize(), d.WoodType.GetFace(), d.WoodType.GetScheme(), d.WoodType.Pieces)
	case *pb.Lot_Cuts:
		a.line("subject", d.Cuts.GetSubject())
		a.line("made of", d.Cuts.GetMaterial())
		a.line("face", trade.FormatRectangle(d.Cuts.GetFace(), u))
	case *pb.Lot_General:
		a.line("made of", d.General.GetMaterial())
		a.line("working size", trade.FormatRectangle(d.General.GetWorkingSize(), u))
	}
}

func (a *app) fount(size *pb.TypeSize, face, scheme string, pieces *int32) {
	a.line("body", trade.FormatTypeSize(size))
	a.line("face", face)
	a.line("scheme", scheme)
	if pieces != nil {
		a.line("pieces", fmt.Sprint(*pieces))
	}
}

// historyFact is every step of a lot with its day.
func historyFact(l *pb.Lot) string {
	var steps []string
	for _, s := range l.GetHistory() {
		steps = append(steps, trade.StateWord(s.GetState())+" "+s.GetTime().AsTime().Format("2006-01-02"))
	}
	return strings.Join(steps, ", then ")
}
