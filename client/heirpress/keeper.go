package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc/codes"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

func (a *app) keeper() *cobra.Command {
	var all bool
	c := &cobra.Command{
		Use:   "keeper",
		Short: "what keepers are told: how many look for a lot, and about how near",
		Long: `Show the notices to keepers that nobody has acknowledged yet, oldest first. There is
one whenever more seekers look for a lot than at any time before. Who they are is
told to nobody, and how near they are only of three or more together.`,
		Example: `  heirpress alerts keeper
  heirpress alerts keeper ack dz5prlj653aqvuhcxeut5uyd`,
		Args: noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.with(c.Context(), func(conn *client.Client) error { return a.printNotices(c.Context(), conn, all) })
		},
	}
	c.Flags().BoolVar(&all, "all", false, "show acknowledged notices too")
	c.AddCommand(a.keeperAck())
	return c
}

func (a *app) printNotices(ctx context.Context, conn *client.Client, all bool) error {
	notices, err := conn.AllNotices(ctx, all)
	if err != nil {
		return err
	}
	if len(notices) == 0 {
		a.note("Keepers have nothing new to hear.")
		return errNothing
	}
	for _, n := range notices {
		if err := a.printKeeperNotice(n); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) printKeeperNotice(n *pb.Notice) error {
	if a.json {
		return a.printJSON(n)
	}
	i := n.GetInterest()
	a.gap()
	a.printf("%s, tag %s\n", i.GetLotTitle(), i.GetTag())
	a.printf("  %s\n", a.interestText(i))
	a.printf("  to read more: heirpress show %s\n", client.ID(i.GetLot()))
	if n.GetAcknowledgeTime() == nil {
		a.printf("  to put it away: heirpress alerts keeper ack %s\n", strings.TrimPrefix(n.GetName(), "notices/"))
	}
	return nil
}

func (a *app) keeperAck() *cobra.Command {
	return &cobra.Command{
		Use:     "ack ID...",
		Short:   "acknowledge notices to keepers: they are shown no more",
		Example: `  heirpress alerts keeper ack dz5prlj653aqvuhcxeut5uyd`,
		Args:    words(1, -1, "the ID of a notice"),
		RunE: func(c *cobra.Command, ids []string) error {
			return a.with(c.Context(), func(conn *client.Client) error { return a.ackNotices(c.Context(), conn, ids) })
		},
	}
}

func (a *app) ackNotices(ctx context.Context, conn *client.Client, ids []string) error {
	for _, id := range ids {
		got, err := conn.Interest.AcknowledgeNotice(ctx, &pb.AcknowledgeNoticeRequest{Name: client.NoticeName(id)})
		if err != nil {
			return err
		}
		if a.json {
			if err := a.printJSON(got.GetNotice()); err != nil {
				return err
			}
		}
	}
	if !a.json {
		a.printf("%s acknowledged\n", trade.FormatCount(len(ids), "notice"))
	}
	return nil
}

// interestText is who looks for a lot, in a line: "3 or more seekers want this; 3
// or more within 200 mi".
func (a *app) interestText(i *pb.Interest) string {
	text := "nobody looks for this yet"
	switch n := i.GetSeekers(); {
	case n == 1:
		return "somebody wants this"
	case n > 1:
		text = grouped(int(n)) + " or more seekers want this"
	}
	for _, b := range i.GetBands() {
		text += fmt.Sprintf("; %s or more within %s", grouped(int(b.GetSeekers())), trade.FormatRoad(float64(b.GetWithinRoadMiles())*place.KmPerMile, a.unitSystem()))
	}
	return text
}

// showInterest says who looks for a lot.
func (a *app) showInterest(ctx context.Context, conn *client.Client, l *pb.Lot) error {
	got, err := conn.Interest.GetInterest(ctx, &pb.GetInterestRequest{Name: l.GetName()})
	if notTheirs(err) {
		return nil
	}
	if err != nil {
		return err
	}
	a.line("wanted", a.interestText(got.GetInterest()))
	return nil
}

// interestOf is who looks for each lot of a shop, by the lot's name; nothing for
// those that nobody looks for.
func (a *app) interestOf(ctx context.Context, conn *client.Client, shop string) (map[string]string, error) {
	all, err := conn.AllInterest(ctx, shop)
	if notTheirs(err) {
		return nil, nil
	}
	texts := map[string]string{}
	for _, i := range all {
		texts[i.GetLot()] = a.interestText(i)
	}
	return texts, err
}

// notTheirs tells whether an error says that who looks for a lot is told to its
// keeper, and not to the caller.
func notTheirs(err error) bool {
	code := client.Code(err)
	return code == codes.PermissionDenied || code == codes.Unauthenticated
}
