package main

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

func (a *app) alerts() *cobra.Command {
	var follow bool
	var ask alertsAsked
	var onMap mapped
	c := &cobra.Command{
		Use:   "alerts",
		Short: "what has turned up",
		Long: `Show the alerts that nobody has acknowledged yet: those first whose lot has to go
within 14 days, and then the oldest first. With --follow, go on showing them as they
are made, until Ctrl-C. A want that meets several lots at once has the best fit first.

Alerts can also come by e-mail or to a webhook: see heirpress want deliver --help.`,
		Example: `  heirpress alerts
  heirpress alerts --list two-stoats-posters-k3q7z
  heirpress alerts --follow --json
  heirpress alerts --map alerts.svg
  heirpress alerts ack dz5prlj653aqvuhcxeut5uyd
  heirpress alerts ack all`,
		Args: noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			if follow && onMap.path != "" {
				return &usageError{message: "--map draws the alerts that are there: leave out --follow"}
			}
			if follow {
				return a.follow(c.Context(), ask)
			}
			return a.with(c.Context(), func(conn *client.Client) error { return a.printAlerts(c.Context(), conn, ask, &onMap) })
		},
	}
	c.Flags().BoolVar(&follow, "follow", false, "go on showing alerts as they are made")
	c.Flags().BoolVar(&ask.all, "all", false, "show acknowledged alerts too")
	c.Flags().StringVar(&ask.list, "list", "", "only those of the wanted list of this `ID`")
	c.Flags().IntVar(&ask.limit, "limit", 0, "show at most this `number`; 0 shows all")
	onMap.flag(c.Flags())
	c.AddCommand(a.ack(), a.keeper())
	return c
}

// alertsAsked is which alerts are to be shown.
type alertsAsked struct {
	all   bool
	list  string // an ID; empty: of every list
	limit int    // 0: no limit
}

// name is the resource name of the list, empty for every list.
func (ask alertsAsked) name() string {
	if ask.list == "" {
		return ""
	}
	return client.WantedListName(ask.list)
}

func (a *app) printAlerts(ctx context.Context, conn *client.Client, ask alertsAsked, onMap *mapped) error {
	alerts, err := conn.AlertsOf(ctx, ask.name(), ask.all)
	if err != nil {
		return err
	}
	if len(alerts) == 0 {
		a.note("Nothing new has turned up.")
		if onMap.path != "" {
			a.note("No map was drawn: there is no alert.")
		}
		return errNothing
	}
	urgentFirst(alerts)
	shown := alerts
	if ask.limit > 0 {
		shown = alerts[:min(ask.limit, len(alerts))]
	}
	for _, alert := range shown {
		if err := a.printAlert(alert); err != nil {
			return err
		}
	}
	if len(shown) < len(alerts) {
		a.note("%d of %d alerts shown.", len(shown), len(alerts))
	}
	if onMap.path == "" {
		return nil
	}
	return a.mapAlerts(ctx, conn, shown, onMap)
}

// mapAlerts draws the alerts that are shown: about the town of their wanted
// list, if they are all of one.
func (a *app) mapAlerts(ctx context.Context, conn *client.Client, shown []*pb.Alert, onMap *mapped) error {
	list, err := listOf(ctx, conn, shown)
	if err != nil {
		return err
	}
	onMap.from(list.GetTown(), list.GetReachRoadKm())
	for _, alert := range shown {
		fit := alert.GetFit().GetScore()
		onMap.add(alert.GetLot(), fmt.Sprintf(", for %q, fit %.0f", alert.GetWantTitle(), fit), fit)
	}
	title := "Alerts"
	if list != nil {
		title += " for " + list.GetTitle()
	}
	return a.draw(onMap, title+": "+trade.FormatCount(len(shown), "alert"))
}

// listOf is the wanted list that alerts are of; nil where they are of several, or
// where it was dropped since.
func listOf(ctx context.Context, conn *client.Client, alerts []*pb.Alert) (*pb.WantedList, error) {
	name := alerts[0].GetWantedList()
	if slices.ContainsFunc(alerts, func(a *pb.Alert) bool { return a.GetWantedList() != name }) {
		return nil, nil
	}
	got, err := conn.Wants.GetWantedList(ctx, &pb.GetWantedListRequest{Name: name})
	if status.Code(err) == codes.NotFound {
		return nil, nil
	}
	return got.GetWantedList(), err
}

// urgentFirst moves urgent alerts to the front and keeps the order otherwise.
func urgentFirst(alerts []*pb.Alert) {
	slices.SortStableFunc(alerts, func(a, b *pb.Alert) int {
		switch {
		case a.GetUrgent() && !b.GetUrgent():
			return -1
		case b.GetUrgent() && !a.GetUrgent():
			return 1
		}
		return 0
	})
}

// follow shows alerts until the user has had enough, which is a good end.
func (a *app) follow(ctx context.Context, ask alertsAsked) error {
	told := func(alert *pb.Alert) error {
		if ask.list != "" && alert.GetWantedList() != ask.name() {
			return nil
		}
		return a.printAlert(alert)
	}
	a.note("Waiting for alerts. Ctrl-C ends it.")
	err := client.FollowAlerts(ctx, a.options, client.Watch{Told: told, Away: func(err error) {
		a.note("%s. Waiting for it to come back.", client.Explain(err))
	}})
	if ctx.Err() != nil {
		return nil
	}
	return err
}

func (a *app) printAlert(alert *pb.Alert) error {
	if a.json {
		return a.printJSON(alert)
	}
	a.gap()
	a.printNotice(notice.Of(alert, a.unitSystem(), time.Now()))
	return nil
}

// printNotice says what an alert says, the urgent thing first.
func (a *app) printNotice(n notice.Notice) {
	if n.Urgent != "" {
		a.printf("%s\n", n.Urgent)
	}
	a.printf("Wanted: %s\n", n.Want)
	a.printf("  %s, tag %s: %s\n", n.Lot, n.Tag, n.Why)
	a.printf("  fit %s\n", n.Fit)
	for _, r := range n.Reasons {
		a.printf("    %s\n", r)
	}
	a.printf("  %s; %s\n", n.Where, n.Road)
	a.printf("  %s\n", notice.Phrases(n.Facts, n.ClearBy))
	a.printf("  to move: %s\n", n.Moving)
	for _, q := range n.Ask {
		a.printf("  ask: %s\n", q)
	}
	for _, c := range n.Commands {
		a.printf("  %s: %s\n", c.Does, c.Type)
	}
}

func (a *app) ack() *cobra.Command {
	return &cobra.Command{
		Use:   "ack ID...",
		Short: "acknowledge alerts: they are shown no more",
		Long: `Acknowledge alerts by their IDs, or, with all, every one there is. They are kept, and
shown again with heirpress alerts --all.`,
		Example: `  heirpress alerts ack dz5prlj653aqvuhcxeut5uyd
  heirpress alerts ack all`,
		Args: words(1, -1, "the ID of an alert, or all"),
		RunE: func(c *cobra.Command, ids []string) error {
			return a.with(c.Context(), func(conn *client.Client) error { return a.ackAll(c.Context(), conn, ids) })
		},
	}
}

func (a *app) ackAll(ctx context.Context, conn *client.Client, ids []string) error {
	if len(ids) == 1 && ids[0] == "all" {
		open, err := conn.AllAlerts(ctx, false)
		if err != nil {
			return err
		}
		if ids = nil; len(open) == 0 {
			a.note("There is no alert to acknowledge.")
			return errNothing
		}
		for _, alert := range open {
			ids = append(ids, alert.GetName())
		}
	}
	for _, id := range ids {
		if err := a.ackOne(ctx, conn, client.AlertName(id)); err != nil {
			return err
		}
	}
	if !a.json {
		a.printf("%s acknowledged\n", trade.FormatCount(len(ids), "alert"))
	}
	return nil
}

func (a *app) ackOne(ctx context.Context, conn *client.Client, name string) error {
	got, err := conn.Alerts.AcknowledgeAlert(ctx, &pb.AcknowledgeAlertRequest{Name: name})
	if err != nil || !a.json {
		return err
	}
	return a.printJSON(got.GetAlert())
}
