package main

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

func (a *app) want() *cobra.Command {
	var secretFile string
	c := &cobra.Command{
		Use:   "want WANTED.yaml",
		Short: "lodge standing wants; alerts follow",
		Long: `Lodge a wanted list. It stands until it is dropped, and every lot that comes to
meet one of its wants raises an alert; see heirpress alerts. A list is known by its
title: lodge a corrected file again and it takes the old one's place. A short one:

  title: A poster shop
  place: Pittsburgh, PA
  reach: 300mi
  wants:
    - title: A platen that prints 12x18
      kind: platen jobber
      sheet: 12x18 in
      max_price: 2500

A list may also say the purse, the kit and the weights of the score; a want its
words, class, max_weight, must_have, text_to_set and importance. Where alerts are sent
beside the inbox can stand in the file too, and then takes the place of what was said
before; see heirpress want deliver --help:

  deliver: {email: ann@example.org, digest: daily, quiet: 22:00-07:00, time_zone: America/Detroit}

It may also say most_a_day, and webhook, whose secret is given with --secret-file.`,
		Example: `  heirpress want poster-shop.yaml
  heirpress want list
  heirpress want drop two-stoats-posters-k3q7z
  heirpress want why lantern P3`,
		Args: words(1, 1, "one wanted list, or list, drop or why"),
		RunE: func(c *cobra.Command, args []string) error {
			list, delivery, err := a.readLodging(args[0], secretFile)
			if err != nil {
				return err
			}
			return a.with(c.Context(), func(conn *client.Client) error { return a.lodge(c.Context(), conn, list, delivery) })
		},
	}
	c.Flags().StringVar(&secretFile, "secret-file", "", "a `file` with the secret of the webhook that the list names")
	c.AddCommand(a.wantList(), a.wantDeliver(), a.wantDrop(), a.wantWhy())
	return c
}

// readLodging reads a wanted list and where its alerts are sent, with the secret
// of its webhook from a file of its own.
func (a *app) readLodging(path, secretFile string) (*pb.WantedList, *pb.Delivery, error) {
	list, delivery, err := client.ReadLodging(path, a.currency)
	if err != nil {
		return nil, nil, unreadable(path, err)
	}
	if secretFile == "" {
		return list, delivery, nil
	}
	if delivery.GetWebhookUrl() == "" {
		return nil, nil, &usageError{message: "--secret-file: " + path + " names no webhook under deliver to use the secret for"}
	}
	if delivery.WebhookSecret, err = readSecret(secretFile); err != nil {
		return nil, nil, unreadable(secretFile, err)
	}
	return list, delivery, nil
}

func (a *app) lodge(ctx context.Context, conn *client.Client, list *pb.WantedList, delivery *pb.Delivery) error {
	got, err := conn.Lodge(ctx, list, delivery)
	if err != nil {
		return err
	}
	lodged := got.List
	if a.json {
		return a.printJSON(lodged)
	}
	a.printf("%s: %s, %s (%s)\n", lodged.GetTitle(), got.Outcome, trade.FormatCount(len(lodged.GetWants()), "want"), listID(lodged))
	a.printWants(lodged)
	if delivery != nil {
		a.printf("  %s\n", strings.Join(deliveryLines(delivery), "\n  "))
	}
	for _, n := range got.Notes {
		a.note("%s", n)
	}
	a.note("To see what turns up: heirpress alerts")
	return nil
}

func (a *app) printWants(list *pb.WantedList) {
	for _, w := range list.GetWants() {
		a.printf("  %s: %s\n", w.GetId(), w.GetTitle())
	}
}

// listID is a wanted list's name as it is typed.
func listID(l *pb.WantedList) string { return client.WantedListID(l.GetName()) }

func (a *app) wantList() *cobra.Command {
	return &cobra.Command{
		Use:   "list",
		Short: "show the wanted lists that stand",
		Args:  noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.with(c.Context(), func(conn *client.Client) error { return a.printLists(c.Context(), conn) })
		},
	}
}

func (a *app) printLists(ctx context.Context, conn *client.Client) error {
	lists, err := conn.AllWantedLists(ctx)
	if err != nil {
		return err
	}
	if len(lists) == 0 {
		a.note("No wanted list stands.")
		return errNothing
	}
	for _, l := range lists {
		if a.json {
			if err := a.printJSON(l); err != nil {
				return err
			}
			continue
		}
		a.printf("%s (%s)\n  %s\n", l.GetTitle(), listID(l), a.reach(l))
		a.printWants(l)
	}
	return nil
}

func (a *app) reach(l *pb.WantedList) string {
	if l.ReachRoadKm == nil {
		return l.GetTown().GetLabel() + ", any distance"
	}
	return "within " + trade.FormatRoad(l.GetReachRoadKm(), a.unitSystem()) + " by road of " + l.GetTown().GetLabel()
}

func (a *app) wantDrop() *cobra.Command {
	return &cobra.Command{
		Use:     "drop ID",
		Short:   "drop a wanted list; its alerts are kept",
		Example: `  heirpress want drop two-stoats-posters-k3q7z`,
		Args:    words(1, 1, "the ID of a wanted list; heirpress want list shows them"),
		RunE: func(c *cobra.Command, args []string) error {
			name := client.WantedListName(args[0])
			return a.with(c.Context(), func(conn *client.Client) error {
				if _, err := conn.Wants.DeleteWantedList(c.Context(), &pb.DeleteWantedListRequest{Name: name}); err != nil {
					return err
				}
				a.note("%s is dropped; its alerts are kept.", args[0])
				return nil
			})
		},
	}
}
