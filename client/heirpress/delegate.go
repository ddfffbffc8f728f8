package main

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
)

func (a *app) delegate() *cobra.Command {
	var note string
	c := &cobra.Command{
		Use:   "delegate SHOP ACCOUNT",
		Short: "name a go-between for a shop of yours",
		Long: `Name a go-between: an account that may list the lots of one shop of yours, and answer
for it, until you revoke it. --note says so in your own words; it is recorded and
never changed. A go-between cannot give the shop away or name others.`,
		Example: `  heirpress delegate marrowby-job-printing-k3q7z ines-4x7rt --note "Ines may list and show everything for me until it is sold"
  heirpress delegate list marrowby-job-printing-k3q7z
  heirpress delegate list
  heirpress delegate revoke 4kx9mw2prt7h`,
		Args: words(2, 2, "a shop and an account, or list or revoke"),
		RunE: func(c *cobra.Command, args []string) error {
			if strings.TrimSpace(note) == "" {
				return wrongUsage(c, "--note is missing: say in your own words what the go-between may do for you")
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				got, err := conn.Delegate(c.Context(), &pb.Delegation{
					Shop: client.ShopName(args[0]), Account: client.AccountName(args[1]), Note: note,
				})
				if err != nil {
					return err
				}
				return a.printDelegation(got)
			})
		},
	}
	c.Flags().StringVar(&note, "note", "", "what you `write` to say so")
	c.AddCommand(a.delegateList(), a.delegateRevoke())
	return c
}

func (a *app) printDelegation(d *pb.Delegation) error {
	if a.json {
		return a.printJSON(d)
	}
	stands := "since " + dayIn(d.GetCreateTime().AsTime())
	if d.GetRevokeTime() != nil {
		stands = "from " + dayIn(d.GetCreateTime().AsTime()) + " until it was revoked on " + dayIn(d.GetRevokeTime().AsTime())
	}
	a.printf("%s speaks for %s %s (%s)\n  %s\n", client.AccountID(d.GetAccount()), client.ID(d.GetShop()), stands, client.DelegationID(d.GetName()), d.GetNote())
	return nil
}

func (a *app) delegateList() *cobra.Command {
	return &cobra.Command{
		Use:   "list [SHOP]",
		Short: "show the go-betweens of a shop, or the shops that you speak for",
		Example: `  heirpress delegate list marrowby-job-printing-k3q7z
  heirpress delegate list`,
		Args: words(0, 1, "one shop, or none for those that you speak for"),
		RunE: func(c *cobra.Command, args []string) error {
			shop := ""
			if len(args) > 0 {
				shop = client.ShopName(args[0])
			}
			return a.with(c.Context(), func(conn *client.Client) error { return a.listDelegations(c.Context(), conn, shop) })
		},
	}
}

func (a *app) listDelegations(ctx context.Context, conn *client.Client, shop string) error {
	all, err := conn.AllDelegations(ctx, shop)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		a.note("There is none.")
		return errNothing
	}
	for _, d := range all {
		if err := a.printDelegation(d); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) delegateRevoke() *cobra.Command {
	return &cobra.Command{
		Use:     "revoke ID...",
		Short:   "end delegations, as the keeper or as the go-between",
		Example: `  heirpress delegate revoke 4kx9mw2prt7h`,
		Args:    words(1, -1, "the ID of a delegation; heirpress delegate list shows them"),
		RunE: func(c *cobra.Command, ids []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				for _, id := range ids {
					got, err := conn.Accounts.RevokeDelegation(c.Context(), &pb.RevokeDelegationRequest{Name: client.DelegationName(id)})
					if err != nil {
						return err
					}
					if err := a.printDelegation(got.GetDelegation()); err != nil {
						return err
					}
				}
				return nil
			})
		},
	}
}

func (a *app) entrust() *cobra.Command {
	return &cobra.Command{
		Use:   "entrust ID ACCOUNT",
		Short: "give a shop or a wanted list of yours to another account",
		Long: `Give a shop, or a wanted list, to another account. You are then a stranger to it. The
go-betweens of a shop stay until its new keeper revokes them; where the alerts of a
list are sent is forgotten.`,
		Example: `  heirpress entrust marrowby-job-printing-k3q7z ines-4x7rt
  heirpress entrust wantedLists/two-stoats-posters-k3q7z ines-4x7rt`,
		Args: words(2, 2, "a shop, or wantedLists/ and the ID of a wanted list, and an account"),
		RunE: func(c *cobra.Command, args []string) error {
			name := args[0]
			if !strings.HasPrefix(name, "wantedLists/") {
				name = client.ShopName(name)
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				_, err := conn.Accounts.HandOver(c.Context(), &pb.HandOverRequest{Name: name, Account: client.AccountName(args[1])})
				if err != nil {
					return err
				}
				a.note("%s is %s's now.", args[0], client.AccountID(args[1]))
				return nil
			})
		},
	}
}
