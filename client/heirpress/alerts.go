package main

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
)

func (a *app) alerts() *cobra.Command {
	var follow, all bool
	var limit int
	c := &cobra.Command{
		Use:   "alerts",
		Short: "what has turned up",
		Long: `Show the alerts that nobody has acknowledged yet, oldest first. With --follow, go
on showing them as they are made, until Ctrl-C. A want that meets several lots at
once has the best fit first.`,
		Example: `  heirpress alerts
  heirpress alerts --follow --json
  heirpress alerts ack dz5prlj653aqvuhcxeut5uyd
  heirpress alerts ack all`,
		Args: noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			if follow {
				return a.follow(c.Context())
			}
			return a.with(c.Context(), func(conn *client.Client) error { return a.printAlerts(c.Context(), conn, all, limit) })
		},
	}
	c.Flags().BoolVar(&follow, "follow", false, "go on showing alerts as they are made")
	c.Flags().BoolVar(&all, "all", false, "show acknowledged alerts too")
	c.Flags().IntVar(&limit, "limit", 0, "show at most this `number`; 0 shows all")
	c.AddCommand(a.ack())
	return c
}

func (a *app) printAlerts(ctx context.Context, conn *client.Client, all bool, limit int) error {
	alerts, err := conn.AllAlerts(ctx, all)
	if err != nil {
		return err
	}
	if len(alerts) == 0 {
		a.note("Nothing new has turned up.")
		return errNothing
	}
	shown := alerts
	if limit > 0 {
		shown = alerts[:min(limit, len(alerts))]
	}
	for _, alert := range shown {
		if err := a.printAlert(alert); err != nil {
			return err
		}
	}
	if len(shown) < len(alerts) {
		a.note("%d of %d alerts shown.", len(shown), len(alerts))
	}
	return nil
}

// follow shows alerts until the user has had enough, which is a good end.
func (a *app) follow(ctx context.Context) error {
	a.note("Waiting for alerts. Ctrl-C ends it.")
	err := client.FollowAlerts(ctx, a.options, client.Watch{Told: a.printAlert, Away: func(err error) {
		a.note("%s. Waiting for it to come back.", client.Explain(err))
	}})
	if ctx.Err() != nil {
		return nil
	}
	return err
}

var reasonWords = map[pb.AlertReason]string{
	pb.AlertReason_ALERT_REASON_NEW_LOT:     "a new lot",
	pb.AlertReason_ALERT_REASON_CHANGED_LOT: "a lot has changed and now meets the want",
	pb.AlertReason_ALERT_REASON_NEW_WANT:    "a lot that was there already",
}

func (a *app) printAlert(alert *pb.Alert) error {
	if a.json {
		return a.printJSON(alert)
	}
	l := alert.GetLot()
	a.gap()
	a.printf("Wanted: %s\n", alert.GetWantTitle())
	a.printf("  %s, tag %s: %s\n", l.GetTitle(), l.GetTag(), reasonWords[alert.GetReason()])
	a.printf("  fit %s\n", fitWords(alert.GetFit()))
	a.printf("  %s; %s\n", where(l), a.road(roadOf(alert.RoadMiles, alert.RoadMilesLow, alert.RoadMilesHigh)))
	a.printf("  %s\n", a.facts(l))
	for _, q := range alert.GetFit().GetQuestions() {
		a.printf("  ask: %s\n", q)
	}
	a.printf("  to read more: heirpress show %s\n", client.ID(l.GetName()))
	if alert.GetAcknowledgeTime() == nil {
		a.printf("  to put it away: heirpress alerts ack %s\n", strings.TrimPrefix(alert.GetName(), "alerts/"))
	}
	return nil
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
		a.printf("%s acknowledged\n", count(len(ids), "alert"))
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
