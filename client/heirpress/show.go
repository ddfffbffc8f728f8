package main

import (
	"context"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

func (a *app) show() *cobra.Command {
	return &cobra.Command{
		Use:   "show ID|TAG",
		Short: "one shop or lot",
		Long: `Show a lot with all that is known of it, or a shop with its story and its lots. A
lot goes by its tag, where only one shop uses that, or by its ID; a shop by its ID.`,
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
		if err := a.showLot(found.Lot); err != nil || a.json {
			return err
		}
		return a.showInterest(ctx, conn, found.Lot)
	}
	return a.showShop(ctx, conn, found.Shop)
}

func (a *app) showShop(ctx context.Context, conn *client.Client, s *pb.Shop) error {
	if a.json {
		return a.printJSON(s)
	}
	lots, err := conn.AllLots(ctx, s.GetName())
	if err != nil {
		return err
	}
	wanted, err := a.interestOf(ctx, conn, s.GetName())
	if err != nil {
		return err
	}
	a.printf("%s, %s (%s)\n", s.GetTitle(), s.GetTown().GetLabel(), client.ID(s.GetName()))
	a.line("story", s.GetStory())
	a.line("access", s.GetAccess())
	a.line("clear by", dateText(s.GetClearBy()))
	a.line("collection", s.GetCollectionName())
	a.printf("  %s\n", trade.FormatCount(len(lots), "lot"))
	for _, l := range lots {
		a.printf("  %s: %s; %s\n", l.GetTag(), l.GetTitle(), notice.Phrases(a.factsInShop(l), wanted[l.GetName()]))
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
	a.printf("%s, tag %s (%s)\n", l.GetTitle(), l.GetTag(), client.ID(l.GetName()))
	a.line("shop", notice.Where(l))
	a.line("kind", strings.Join(nonEmpty(trade.KindWord(l.GetKind()), trade.ClassWord(l.GetClass())), ", "))
	a.line("make", strings.Join(nonEmpty(l.GetMake(), l.GetModel()), " "))
	a.line("serial", l.GetSerial())
	a.line("size", l.GetSizeAsWritten())
	a.detail(l)
	a.number("count", l.Count)
	a.line("weight", strings.TrimPrefix(notice.Weight(l, a.unitSystem()), "weight "))
	a.line("outside", a.sizeFact(l.GetSize()))
	a.line("condition", notice.Phrases(trade.ConditionWord(l.GetCondition()), l.GetConditionNote()))
	a.line("parts there", strings.Join(l.GetParts().GetOnHand(), ", "))
	a.line("missing", missingWords(l.GetParts()))
	a.line("price", strings.TrimPrefix(notice.Price(l), "price "))
	a.line("paid", moneyText(l.GetPricePaid()))
	a.line("clear by", dateText(l.GetClearBy()))
	a.line("about", l.GetDescription())
	a.line("state", historyFact(l))
	return nil
}

func dateText(d *pb.Date) string {
	if d == nil {
		return ""
	}
	return trade.FormatDate(d)
}

func moneyText(m *pb.Money) string {
	if m == nil {
		return ""
	}
	return trade.FormatMoney(m)
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

// historyFact is every step of a lot with its day.
func historyFact(l *pb.Lot) string {
	var steps []string
	for _, s := range l.GetHistory() {
		steps = append(steps, trade.StateWord(s.GetState())+" on "+momentText(s.GetTime().AsTime()))
	}
	return strings.Join(steps, ", then ")
}

// momentText is the day of a moment.
func momentText(at time.Time) string {
	y, m, d := at.Date()
	return trade.FormatDate(&pb.Date{Year: int32(y), Month: int32(m), Day: int32(d)})
}
