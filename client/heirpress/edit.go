package main

import (
	"errors"

	"github.com/spf13/cobra"

	"heirpress/client"
)

func (a *app) edit() *cobra.Command {
	return &cobra.Command{
		Use:   "edit ID FIELD=VALUE...",
		Short: "change a shop or a lot",
		Long: `Change a shop or a lot. The fields are those of a sheet, and the values are read as
there; a lot also has state, paid and clear_by, a shop title, place, clear_by,
story, access and collection_name. An empty value takes back what was said. Put a
value with spaces, or with a $ sign, in single quotes.

A lot goes draft, proofed, offered, promised, rehomed; or withdrawn.`,
		Example: `  heirpress edit P3 price=850 'missing=rollers, one chase'
  heirpress edit marrowby-job-printing-k3q7z/p3 state=promised
  heirpress edit P3 state=rehomed paid=800
  heirpress edit marrowby-job-printing-k3q7z clear_by=2027-02-15`,
		Args: words(2, -1, "the ID of a shop or a lot, and at least one FIELD=VALUE"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				found, err := conn.Edit(c.Context(), args[0], args[1:], a.currency)
				if wrong := new(client.AssignmentError); errors.As(err, &wrong) {
					return wrongUsage(c, wrong.Error())
				}
				if err != nil {
					return err
				}
				if found.Lot != nil {
					return a.showLot(found.Lot)
				}
				return a.showShop(c.Context(), conn, found.Shop)
			})
		},
	}
}
