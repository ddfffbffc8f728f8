package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
)

func (a *app) history() *cobra.Command {
	return &cobra.Command{
		Use:   "history ID|TAG",
		Short: "who changed a shop or lot of yours, when, and what",
		Long: `Show every change of a shop or lot, the latest first: who made it, when, and what was
said before and since. It is for its keeper and go-betweens.`,
		Example: `  heirpress history P3
  heirpress history marrowby-job-printing-k3q7z`,
		Args: words(1, 1, "the ID of a shop or a lot, or a lot's tag"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error { return a.printHistory(c.Context(), conn, args[0]) })
		},
	}
}

func (a *app) printHistory(ctx context.Context, conn *client.Client, what string) error {
	changes, err := conn.AllHistory(ctx, what)
	if err != nil {
		return err
	}
	for _, one := range changes {
		if a.json {
			if err := a.printJSON(one); err != nil {
				return err
			}
			continue
		}
		a.printf("%s, by %s\n", one.GetTime().AsTime().Local().Format("2006-01-02 15:04"), authorText(one))
		if one.GetCreated() {
			a.printf("  it was posted\n")
			continue
		}
		for _, f := range one.GetFields() {
			a.printf("  %s\n", fieldText(f))
		}
	}
	return nil
}

// authorText is who made a change.
func authorText(c *pb.ListingChange) string {
	switch {
	case c.GetAuthor() == "":
		return "the owner of the registry"
	case strings.HasPrefix(c.GetAuthor(), "proofCodes/"):
		return "the keeper, with a code that " + orElse(c.GetAuthorName(), "somebody") + " made"
	}
	return fmt.Sprintf("%s (%s)", orElse(c.GetAuthorName(), "somebody"), client.AccountID(c.GetAuthor()))
}

// fieldText is a field that was changed, as "price: was …, is …".
func fieldText(f *pb.FieldChange) string {
	name := strings.ReplaceAll(f.GetField(), "_", " ")
	switch {
	case f.GetBefore() == "":
		return fmt.Sprintf("%s: is %s", name, f.GetAfter())
	case f.GetAfter() == "":
		return fmt.Sprintf("%s: was %s, is taken back", name, f.GetBefore())
	}
	return fmt.Sprintf("%s: was %s, is %s", name, f.GetBefore(), f.GetAfter())
}
