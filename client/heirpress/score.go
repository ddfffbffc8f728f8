package main

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/score"
	"heirpress/search/trade"
)

func (a *app) score() *cobra.Command {
	var explain bool
	var limit int
	var onMap mapped
	c := &cobra.Command{
		Use:   "score WANTED.yaml",
		Short: "score offers against a wanted list, on this machine",
		Long: `Score offers against a wanted list: 0 to 100, from distance, rigging weight and
completeness, each weighed as the list says. Where facts are missing the score has
a low and a high, and there is something to ask.

The scoring is done on this machine. The registry is told the town and what is
wanted; the purse, the kit and the weights stay here.`,
		Example: `  heirpress score poster-shop.yaml --explain`,
		Args:    words(1, 1, "one wanted list"),
		RunE: func(c *cobra.Command, args []string) error {
			list, err := a.readWanted(args[0])
			if err != nil {
				return err
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.scoreAll(c.Context(), conn, list, limit, explain, &onMap)
			})
		},
	}
	c.Flags().BoolVar(&explain, "explain", false, "say how each score came about")
	c.Flags().IntVar(&limit, "limit", 10, "show at most this `number` for each want; 0 shows all")
	onMap.flag(c.Flags())
	return c
}

// readWanted reads a wanted list from a file and looks its town up.
func (a *app) readWanted(path string) (*pb.WantedList, error) {
	list, err := client.ReadWanted(path, a.currency)
	if err != nil {
		return nil, unreadable(path, err)
	}
	return list, nil
}

func (a *app) scoreAll(ctx context.Context, conn *client.Client, list *pb.WantedList, limit int, explain bool, onMap *mapped) error {
	fits, err := conn.Score(ctx, list)
	if err != nil {
		return err
	}
	byWant := map[string][]client.Fitted{}
	for _, f := range fits {
		byWant[f.Want.GetId()] = append(byWant[f.Want.GetId()], f)
	}
	for _, w := range list.GetWants() {
		if err := a.printFits(w, byWant[w.GetId()], limit, explain); err != nil {
			return err
		}
		a.printAsks(client.AskFirst(list, w, byWant[w.GetId()]))
	}
	onMap.fits(list, fits)
	if err := a.draw(onMap, "What fits "+list.GetTitle()); err != nil {
		return err
	}
	if len(fits) == 0 {
		return errNothing
	}
	a.printOffers(list, client.Offers(list, fits))
	return nil
}

// printOffers holds each shop against the whole list, where there is more than
// one want to meet.
func (a *app) printOffers(list *pb.WantedList, offers []client.Offer) {
	wants := len(list.GetWants())
	if a.json || wants < 2 {
		return
	}
	a.printf("The whole list, shop by shop:\n")
	for i, o := range offers[:min(len(offers), mostOffers)] {
		l := o.Cover.Best[0].Lot
		a.printf("%3d. %s  %s: meets %d of %s\n", i+1, notice.Span(o.Cover.Score, o.Cover.Low, o.Cover.High), notice.Where(l), len(o.Cover.Best), trade.FormatCount(wants, "want"))
	}
}

// mostOffers is how many shops are held against a whole list.
const mostOffers = 5

func (a *app) printFits(w *pb.Want, fits []client.Fitted, limit int, explain bool) error {
	shown := fits
	if limit > 0 {
		shown = fits[:min(limit, len(fits))]
	}
	if !a.json {
		a.printf("%s: %s\n", w.GetTitle(), offers(len(fits), len(shown)))
	}
	for i, f := range shown {
		if err := a.printFit(i+1, f, explain); err != nil {
			return err
		}
	}
	return nil
}

// printAsks says what to ask first where the order of the offers hangs on it.
func (a *app) printAsks(asks []score.Ask) {
	if a.json || len(asks) == 0 {
		return
	}
	a.printf("  To settle this order, ask first:\n")
	for _, ask := range asks {
		a.printf("     %s: %s\n", client.ID(ask.Lot.GetName()), ask.Question)
	}
}

func offers(all, shown int) string {
	switch {
	case all == 0:
		return "nothing is offered so far"
	case shown < all:
		return fmt.Sprintf("the best %d of %d offers", shown, all)
	}
	return trade.FormatCount(all, "offer")
}

type fitLine struct {
	Want          string          `json:"want"`
	WantTitle     string          `json:"wantTitle"`
	Lot           json.RawMessage `json:"lot"`
	Score         float64         `json:"score"`
	Low           float64         `json:"low"`
	High          float64         `json:"high"`
	RoadMiles     *float64        `json:"roadMiles,omitempty"`
	RoadMilesLow  *float64        `json:"roadMilesLow,omitempty"`
	RoadMilesHigh *float64        `json:"roadMilesHigh,omitempty"`
	Fit           json.RawMessage `json:"fit"`
}

func (a *app) printFit(n int, f client.Fitted, explain bool) error {
	if a.json {
		return a.fitJSON(f)
	}
	l := f.Lot
	a.printf("%3d. %s  %s, tag %s\n", n, notice.Fit(f.Fit), l.GetTitle(), l.GetTag())
	a.printf("     %s; %s\n", notice.Where(l), notice.Road(f.Road, a.unitSystem()))
	a.printf("     %s\n", a.facts(l))
	if explain {
		a.explainFit(f.Fit)
	}
	for _, q := range f.Fit.GetQuestions() {
		a.printf("     ask: %s\n", q)
	}
	a.printf("     %s\n", client.ID(l.GetName()))
	return nil
}

func (a *app) fitJSON(f client.Fitted) error {
	lot, err := jsonOf(f.Lot)
	if err != nil {
		return err
	}
	fit, err := jsonOf(f.Fit)
	if err != nil {
		return err
	}
	line := fitLine{
		Want: f.Want.GetId(), WantTitle: f.Want.GetTitle(), Lot: lot, Fit: fit,
		Score: f.Fit.GetScore(), Low: f.Fit.GetLow(), High: f.Fit.GetHigh(),
	}
	if f.Road != nil && !f.Road.None {
		line.RoadMiles, line.RoadMilesLow, line.RoadMilesHigh = f.Road.Miles()
	}
	return a.printLine(line)
}

func (a *app) explainFit(f *pb.Fit) {
	for _, part := range f.GetParts() {
		a.printf("     %s, counts %.0f percent\n", notice.Part(part), 100*part.GetWeight())
		for _, reason := range part.GetReasons() {
			a.printf("       %s\n", reason)
		}
	}
}
