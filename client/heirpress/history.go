package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
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
	before, after := valueText(f.GetField(), f.GetBefore()), valueText(f.GetField(), f.GetAfter())
	switch {
	case before == "":
		return fmt.Sprintf("%s: is %s", name, after)
	case after == "":
		return fmt.Sprintf("%s: was %s, is taken back", name, before)
	}
	return fmt.Sprintf("%s: was %s, is %s", name, before, after)
}

// valueText is the value of a field as people write it; one that has no such form, or
// was shortened, as the registry tells it.
func valueText(field, value string) string {
	switch field {
	case "state":
		return orElse(trade.StateWord(pb.LotState(pb.LotState_value[value])), value)
	case "kind":
		return orElse(trade.KindWord(pb.Kind(pb.Kind_value[value])), value)
	case "class":
		return orElse(trade.ClassWord(pb.Class(pb.Class_value[value])), value)
	case "condition":
		return orElse(trade.ConditionWord(pb.Condition(pb.Condition_value[value])), value)
	case "price", "price_paid":
		return messageText(value, new(pb.Money), trade.FormatMoney)
	case "clear_by":
		return messageText(value, new(pb.Date), trade.FormatDate)
	case "town":
		return messageText(value, new(pb.Town), (*pb.Town).GetLabel)
	}
	return value
}

// messageText is a message in its JSON mapping as text.
func messageText[M proto.Message](value string, into M, text func(M) string) string {
	if value == "" || protojson.Unmarshal([]byte(value), into) != nil {
		return value
	}
	return text(into)
}
