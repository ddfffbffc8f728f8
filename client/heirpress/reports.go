package main

import (
	"context"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
)

func (a *app) reports() *cobra.Command {
	var all bool
	c := &cobra.Command{
		Use:   "reports",
		Short: "what was reported, for the operator",
		Example: `  heirpress introductions reports
  heirpress introductions reports close 4kx9mw2prt7h`,
		Args: noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.with(c.Context(), func(conn *client.Client) error { return a.listReports(c.Context(), conn, all) })
		},
	}
	c.Flags().BoolVar(&all, "all", false, "also those that were put away")
	c.AddCommand(a.reportClose())
	return c
}

func (a *app) listReports(ctx context.Context, conn *client.Client, closed bool) error {
	found, err := conn.AllReports(ctx, closed)
	if err != nil {
		return err
	}
	if len(found) == 0 {
		a.note("No reports.")
		return errNothing
	}
	for _, p := range found {
		if err := a.printReport(p); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) reportClose() *cobra.Command {
	return &cobra.Command{
		Use:     "close REPORT",
		Short:   "put a report away",
		Example: `  heirpress introductions reports close 4kx9mw2prt7h`,
		Args:    words(1, 1, "the ID of a report"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				got, err := conn.Introductions.CloseReport(c.Context(), &pb.CloseReportRequest{Name: client.ReportName(args[0])})
				if err != nil {
					return err
				}
				return a.printReport(got.GetReport())
			})
		},
	}
}

func (a *app) printReport(p *pb.IntroductionReport) error {
	if a.json {
		return a.printJSON(p)
	}
	a.gap()
	i := p.GetIntroduction()
	a.printf("%s about %s (%s)\n", client.AccountID(p.GetReporter()), p.GetAbout(), p.GetName())
	a.line("reason", p.GetReason())
	a.line("lot", client.ID(i.GetLot())+", "+i.GetLotTitle())
	a.line("asked by", i.GetAsker().GetDisplayName()+", "+i.GetAsker().GetTown().GetLabel())
	a.line("note", i.GetNote())
	a.line("for", i.GetPurpose())
	a.line("answer", i.GetAnswerNote())
	return nil
}
