package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc/codes"

	"heirpress/client"
	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

type postFlags struct {
	shop, place, clearBy, table string
	draft                       bool
}

func (a *app) post() *cobra.Command {
	var f postFlags
	c := &cobra.Command{
		Use:   "post SHEET...",
		Short: "post a shop and its lots from a sheet",
		Long: `Post a shop and its lots from inventory sheets: .csv or .xlsx from any spreadsheet, or .yaml.

A sheet has the columns tag, kind, title, description, make, model, serial, size,
count, weight, width, depth, height, condition, missing, price, in any order. Only
the title is required. A short one:

  tag,kind,title,size,weight,missing,price
  1,platen jobber,Halvorsen platen jobber,10x15,"1,500 lb",rollers,900
  2,wood type,Gothic wood type,12 line,,,300

The tag is the number on the masking tape, and a lot is known by it: post a
corrected sheet again and nothing is doubled.

Rows that are wrong are named, and written beside the sheet to a .rejected.csv
that can be corrected and posted; the other rows are posted all the same. The
exit status is then 1.`,
		Example: `  heirpress post marrowby.yaml
  heirpress post basement.csv --shop "The Tolliver basement" --place "Grand Rapids, MI" --clear-by 2027-01-31`,
		Args: words(1, -1, "at least one sheet"),
		RunE: func(c *cobra.Command, sheets []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.postAll(c.Context(), conn, c, sheets, f)
			})
		},
	}
	c.Flags().StringVar(&f.shop, "shop", "", "`title` of the shop, where the sheet does not say")
	c.Flags().StringVar(&f.place, "place", "", "its `town`, as Dayton, OH")
	c.Flags().StringVar(&f.clearBy, "clear-by", "", "the `day` it must be empty, as 2027-01-31")
	c.Flags().BoolVar(&f.draft, "draft", false, "post new lots as drafts, not yet offered")
	c.Flags().StringVar(&f.table, "sheet-name", "", "the `name` of the sheet in a workbook that has several")
	return c
}

func (a *app) postAll(ctx context.Context, conn *client.Client, c *cobra.Command, sheets []string, f postFlags) error {
	flags, err := f.shopOf(c)
	if err != nil {
		return err
	}
	whole := true
	for _, path := range sheets {
		ok, err := a.postOne(ctx, conn, path, flags, f)
		if err != nil {
			return err
		}
		whole = whole && ok
	}
	if !whole {
		return errTold
	}
	return nil
}

// shopOf is what the flags say of the shop.
func (f postFlags) shopOf(c *cobra.Command) (*pb.Shop, error) {
	shop := &pb.Shop{Title: f.shop, Place: f.place}
	if f.clearBy == "" {
		return shop, nil
	}
	day, err := trade.ParseDate(f.clearBy)
	if err != nil {
		return nil, wrongUsage(c, "--clear-by: "+err.Error())
	}
	shop.ClearBy = day
	return shop, nil
}

// postOne posts a sheet, and tells whether every row of it went in.
func (a *app) postOne(ctx context.Context, conn *client.Client, path string, flags *pb.Shop, f postFlags) (bool, error) {
	job, err := client.ReadSheet(path, flags, a.currency, sheet.Table(f.table))
	if errors.Is(err, client.ErrNoShop) {
		err = fmt.Errorf("%s: %w", path, err)
	}
	if err != nil {
		return false, unreadable(path, err)
	}
	for _, note := range job.Notes {
		a.note("%s: %s", path, note)
	}
	if f.draft {
		job.Draft()
	}
	report, err := conn.PostSheet(ctx, job, a.progress(path, len(job.Lots())))
	if client.Code(err) == codes.Unavailable {
		a.note("%s: what has gone in stays in: post the sheet again, and nothing is doubled", path)
	}
	if err != nil {
		return false, &inFile{path, err}
	}
	if err := a.tellPost(path, job, report); err != nil {
		return false, err
	}
	return len(job.Rejected()) == 0, a.writeRejected(path, job, report.Shop.GetTitle())
}

func (a *app) tellPost(path string, job *client.Job, report *client.PostReport) error {
	for _, row := range job.Rejected() {
		for _, problem := range row.Problems {
			a.note("%s: %s", path, problem.Error())
		}
	}
	if a.json {
		return a.postJSON(job, report)
	}
	known := "posted before"
	if report.NewShop {
		known = "a new shop"
	}
	a.printf("%s, %s: %s (%s)\n", report.Shop.GetTitle(), report.Shop.GetTown().GetLabel(), known, client.ID(report.Shop.GetName()))
	a.printf("  %s\n", outcomes(report, len(job.Rejected())))
	return nil
}

// outcomes is what became of the lots, in words: "3 lots posted", or "3 lots: 2
// posted, 1 rejected".
func outcomes(report *client.PostReport, rejected int) string {
	var said []string
	all, last := 0, ""
	say := func(n int, what string) {
		if n > 0 {
			said = append(said, fmt.Sprintf("%d %s", n, what))
			all, last = all+n, what
		}
	}
	say(report.Count(client.Posted), "posted")
	say(report.Count(client.Changed), "changed")
	say(report.Count(client.Unchanged), "as before")
	say(rejected, "rejected")
	switch len(said) {
	case 0:
		return "no lots"
	case 1:
		return trade.FormatCount(all, "lot") + " " + last
	}
	return trade.FormatCount(all, "lot") + ": " + strings.Join(said, ", ")
}

type postLine struct {
	Outcome string   `json:"outcome"`
	Row     int      `json:"row"`
	Lot     any      `json:"lot,omitempty"`
	Problem []string `json:"problems,omitempty"`
}

// postJSON prints a line for every row, in the order of the sheet.
func (a *app) postJSON(job *client.Job, report *client.PostReport) error {
	lines, err := postLines(job, report)
	if err != nil {
		return err
	}
	slices.SortStableFunc(lines, func(a, b postLine) int { return a.Row - b.Row })
	for _, line := range lines {
		if err := a.printLine(line); err != nil {
			return err
		}
	}
	return nil
}

func postLines(job *client.Job, report *client.PostReport) ([]postLine, error) {
	var lines []postLine
	for _, l := range report.Lots {
		if l.Outcome == client.Refused {
			continue
		}
		lot, err := jsonOf(l.Lot)
		if err != nil {
			return nil, err
		}
		lines = append(lines, postLine{Outcome: string(l.Outcome), Row: job.Row(l.Index), Lot: lot})
	}
	for _, bad := range job.Rejected() {
		line := postLine{Outcome: "rejected", Row: bad.Number}
		for _, p := range bad.Problems {
			line.Problem = append(line.Problem, p.Error())
		}
		lines = append(lines, line)
	}
	return lines, nil
}

// writeRejected writes the rows that did not go in beside the sheet, and says
// how to go on.
func (a *app) writeRejected(path string, job *client.Job, shop string) error {
	if len(job.Rejected()) == 0 {
		return nil
	}
	beside := client.RejectedPath(path)
	kept, err := job.SaveRejected(beside)
	if err != nil {
		return fmt.Errorf("the rejected rows cannot be written: %w", err)
	}
	if kept != "" {
		a.note("%s: the %s that was there before is now %s", path, beside, kept)
	}
	a.note("%s: the rejected rows are in %s. Correct them there, and then: heirpress %s",
		path, beside, typed([]string{"post", beside, "--shop", shop}))
	return nil
}
