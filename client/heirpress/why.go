package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/notice"
	"heirpress/search/place"
	"heirpress/search/trade"
)

func (a *app) wantWhy() *cobra.Command {
	return &cobra.Command{
		Use:   "why WANT LOT",
		Short: "why a lot meets a want, or does not",
		Long: `Show everything that a want asks, and what the lot says to it; whether they meet; and
whether there was an alert. A want goes by its ID, or as LIST/WANT where several
lists have one of that ID; a list's ID means all its wants. A lot goes by its tag or
its ID.`,
		Example: `  heirpress want why lantern P3
  heirpress want why two-stoats-posters-k3q7z/lantern marrowby-job-printing-k3q7z/p3`,
		Args: words(2, 2, "the ID of a want and the tag or ID of a lot"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error { return a.why(c.Context(), conn, args[0], args[1]) })
		},
	}
}

func (a *app) why(ctx context.Context, conn *client.Client, want, lot string) error {
	all, err := conn.Why(ctx, want, lot)
	if err != nil {
		return err
	}
	for _, w := range all {
		if err := a.printWhy(w); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) printWhy(w client.Why) error {
	if a.json {
		return a.printLine(whyLineOf(w))
	}
	a.gap()
	meets := "does not meet it"
	if w.Meets() {
		meets = "meets it"
	}
	a.printf("Wanted: %s (%s/%s)\n", w.Want.GetTitle(), listID(w.List), w.Want.GetId())
	a.printf("  %s, tag %s, %s\n", w.Lot.GetTitle(), w.Lot.GetTag(), meets)
	for _, c := range w.Conditions {
		a.printf("  %s: %s\n", verdict(c), a.conditionText(w, c))
	}
	for _, alert := range w.Alerts {
		a.printf("  alert made on %s: %s%s\n", momentText(alert.GetCreateTime().AsTime()), notice.Reason(alert.GetReason()), acknowledgedText(alert))
	}
	if len(w.Alerts) == 0 {
		a.printf("  no alert was made\n")
	}
	return nil
}

// verdict is how a condition turned out, in words.
func verdict(c search.Condition) string {
	switch {
	case c.Holds && c.Unsaid:
		return "yes, as it is not said"
	case c.Unsaid:
		return "no, as it is not said"
	case c.Holds:
		return "yes"
	}
	return "no"
}

func acknowledgedText(alert *pb.Alert) string {
	if alert.GetAcknowledgeTime() == nil {
		return ""
	}
	return ", acknowledged"
}

// conditionText is what a want asks, and what the lot says to it.
func (a *app) conditionText(w client.Why, c search.Condition) string {
	f, l := w.Filter, w.Lot
	switch c.Part {
	case search.PartWords:
		return wordsText(c)
	case search.PartKinds:
		return fmt.Sprintf("kind: wanted %s; it is %s", names(f.GetKinds(), trade.KindWord), orNothing(trade.KindWord(l.GetKind())))
	case search.PartClasses:
		return fmt.Sprintf("class: wanted %s; it is %s", names(f.GetClasses(), trade.ClassWord), orNothing(trade.ClassWord(l.GetClass())))
	case search.PartStates:
		return fmt.Sprintf("state: wanted %s; it is %s", statesText(f), trade.StateWord(l.GetState()))
	case search.PartRegions:
		return fmt.Sprintf("region: wanted %s; it is in %s", strings.Join(f.GetRegions(), " or "), orNothing(l.GetTown().GetLabel()))
	case search.PartShop:
		return fmt.Sprintf("shop: wanted %s; it is in %s", client.ID(f.GetShop()), l.GetShopTitle())
	case search.PartNear:
		return a.reachText(f.GetNear(), c.Road)
	case search.PartMass:
		return fmt.Sprintf("weight: at most %s; it is %s", trade.FormatMass(f.GetMaxMassKg(), a.unitSystem()), notice.Weight(l, a.unitSystem()))
	case search.PartPrice:
		return fmt.Sprintf("price: at most %s; it is %s", trade.FormatMoney(f.GetMaxPrice()), notice.Price(l))
	default:
		return a.sheetText(f, l)
	}
}

func wordsText(c search.Condition) string {
	text := "words:"
	if len(c.Has) > 0 {
		text += " it has " + strings.Join(c.Has, ", ")
	}
	if len(c.Has) > 0 && len(c.Lacks) > 0 {
		text += ";"
	}
	if len(c.Lacks) > 0 {
		text += " it lacks " + strings.Join(c.Lacks, ", ")
	}
	return text
}

func names[E any](values []E, word func(E) string) string {
	var all []string
	for _, v := range values {
		all = append(all, word(v))
	}
	return strings.Join(all, " or ")
}

func statesText(f *pb.LotFilter) string {
	if len(f.GetStates()) == 0 {
		return trade.StateWord(pb.LotState_LOT_STATE_OFFERED)
	}
	return names(f.GetStates(), trade.StateWord)
}

func orNothing(text string) string {
	if text == "" {
		return "not said"
	}
	return text
}

func (a *app) reachText(n *pb.Near, road *place.Road) string {
	way := "how far it is is not known, or there is no road"
	if road != nil {
		way = "it is " + notice.Road(road, a.unitSystem())
	}
	return fmt.Sprintf("distance: within %s by road of %s; %s", trade.FormatRoad(n.GetWithinRoadKm(), a.unitSystem()), orNothing(n.GetPlace()), way)
}

func (a *app) sheetText(f *pb.LotFilter, l *pb.Lot) string {
	sheet := trade.FormatRectangle(f.GetSheet(), a.unitSystem())
	if l.GetKind() != pb.Kind_KIND_PRESS {
		return fmt.Sprintf("sheet: must print %s; it is no press", sheet)
	}
	_, reason := trade.CanPrint(l, f.GetSheet())
	return fmt.Sprintf("sheet: must print %s; %s", sheet, reason)
}

// whyLine is one want explained, as one line of JSON.
type whyLine struct {
	WantedList string          `json:"wantedList"`
	Want       string          `json:"want"`
	WantTitle  string          `json:"wantTitle"`
	Lot        string          `json:"lot"`
	Tag        string          `json:"tag"`
	Meets      bool            `json:"meets"`
	Conditions []conditionLine `json:"conditions"`
	Alerts     []string        `json:"alerts"`
}

type conditionLine struct {
	Part      string   `json:"part"`
	Holds     bool     `json:"holds"`
	Unsaid    bool     `json:"unsaid,omitempty"`
	Has       []string `json:"has,omitempty"`
	Lacks     []string `json:"lacks,omitempty"`
	RoadMiles *float64 `json:"roadMiles,omitempty"`
}

func whyLineOf(w client.Why) whyLine {
	line := whyLine{
		WantedList: w.List.GetName(), Want: w.Want.GetId(), WantTitle: w.Want.GetTitle(), Lot: w.Lot.GetName(), Tag: w.Lot.GetTag(),
		Meets: w.Meets(), Alerts: []string{},
	}
	for _, c := range w.Conditions {
		one := conditionLine{Part: string(c.Part), Holds: c.Holds, Unsaid: c.Unsaid, Has: c.Has, Lacks: c.Lacks}
		if c.Road != nil {
			one.RoadMiles, _, _ = c.Road.Miles()
		}
		line.Conditions = append(line.Conditions, one)
	}
	for _, alert := range w.Alerts {
		line.Alerts = append(line.Alerts, alert.GetName())
	}
	return line
}
