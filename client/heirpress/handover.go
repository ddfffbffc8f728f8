package main

import (
	"context"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	"heirpress/client/handover"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

func (a *app) handover() *cobra.Command {
	var in handover.Input
	c := &cobra.Command{
		Use:   "handover SHOP|LOT...",
		Short: "the record that both sides sign when lots change hands",
		Long: `Print the record of a hand-over, to be signed by both sides: what it is and how it is,
what is missing, what was paid if that has been told, under which name it stays known
and where it may be seen again, and what to beware of. Of a shop it is all that is
promised; of a lot, that lot. What only the two sides know is left blank.

It is a record and no legal advice. It changes nothing in the registry: when the lots
are gone, heirpress edit TAG state=rehomed says so. To give a shop to another account
is heirpress entrust.`,
		Example: `  heirpress handover marrowby-job-printing-k3q7z --to "Two Stoats Posters" --seen-at "Pittsburgh, PA"
  heirpress handover P1 W1`,
		Args: words(1, -1, "the ID of a shop or a lot, or a lot's tag"),
		RunE: func(c *cobra.Command, ids []string) error {
			return a.with(c.Context(), func(conn *client.Client) error { return a.handoverOf(c.Context(), conn, ids, in) })
		},
	}
	f := c.Flags()
	f.StringVar(&in.Giver, "from", "", "the `name` of who gives")
	f.StringVar(&in.Receiver, "to", "", "the `name` of who gets")
	f.StringVar(&in.SeenAt, "seen-at", "", "`where` the material may be seen again")
	f.StringVar(&in.Day, "day", "", "the `day` of it")
	return c
}

func (a *app) handoverOf(ctx context.Context, conn *client.Client, ids []string, in handover.Input) error {
	if in.Day != "" {
		day, err := trade.ParseDate(in.Day)
		if err != nil {
			return &usageError{message: "--day: " + err.Error()}
		}
		in.Day = trade.FormatDate(day)
	}
	shop, err := a.changingHands(ctx, conn, ids, &in)
	if err != nil {
		return err
	}
	got, err := conn.Shops.GetShop(ctx, &pb.GetShopRequest{Name: shop})
	if err != nil {
		return err
	}
	in.Shop, in.Units = got.GetShop(), a.unitSystem()
	r := handover.Make(in)
	if a.json {
		return a.printLine(r)
	}
	return handover.Text(a.out, r)
}

// changingHands finds the lots that are meant, and the one shop that they are of.
func (a *app) changingHands(ctx context.Context, conn *client.Client, ids []string, in *handover.Input) (shop string, err error) {
	for _, id := range ids {
		found, err := conn.Lookup(ctx, id)
		if err != nil {
			return "", err
		}
		of, lots := found.Shop.GetName(), []*pb.Lot{found.Lot}
		if found.Lot != nil {
			of, _, _ = strings.Cut(found.Lot.GetName(), "/lots/")
		} else if lots, err = promisedOf(ctx, conn, of); err != nil {
			return "", err
		}
		if shop != "" && shop != of {
			return "", &usageError{message: "the lots are of more shops than one: print a record for each"}
		}
		shop = of
		for _, l := range lots {
			if !slices.ContainsFunc(in.Lots, func(o *pb.Lot) bool { return o.GetName() == l.GetName() }) {
				in.Lots = append(in.Lots, l)
			}
		}
	}
	if len(in.Lots) == 0 {
		a.note("Nothing of it is promised: name the lots.")
		return "", errNothing
	}
	return shop, nil
}

func promisedOf(ctx context.Context, conn *client.Client, shop string) ([]*pb.Lot, error) {
	all, err := conn.AllLots(ctx, shop)
	return slices.DeleteFunc(all, func(l *pb.Lot) bool { return l.GetState() != pb.LotState_LOT_STATE_PROMISED }), err
}
