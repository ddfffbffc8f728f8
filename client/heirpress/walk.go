package main

import (
	"context"
	"errors"
	"os"

	"github.com/spf13/cobra"

	"heirpress/client/walk"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// usualSheet is what a walk writes if no sheet is named.
const usualSheet = "shop.yaml"

func (a *app) walk() *cobra.Command {
	return &cobra.Command{
		Use:   "walk [SHEET.yaml]",
		Short: "walk through a shop: a question at a time, and a sheet at the end",
		Long: `Walk through a shop with a keyboard: it asks what there is, one lot or one drawer at
a time, in plain words, and writes a sheet at the end. The kind, the place and the
next number are carried over from the lot before. It needs no network.

Every answer is saved at once beside the sheet, in SHEET.yaml.walk: a walk that was
broken off goes on where it was. If the sheet is there already, new lots are added.
Without a name the sheet is ` + usualSheet + `.

The words help, back, skip, done and quit do what they say. Answers may come from a
file or a pipe, a line each; if they end before done, the exit status is 1.`,
		Example: `  heirpress walk basement.yaml
  heirpress walk < answers.txt`,
		Args: words(0, 1, "at most one sheet"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.walkThrough(c.Context(), append(args, usualSheet)[0])
		},
	}
}

func (a *app) walkThrough(ctx context.Context, path string) error {
	report, err := walk.Run(ctx, walk.Options{
		Path: path, In: os.Stdin, Out: a.out, Currency: a.currency,
		CheckTown: func(town string) error {
			_, err := place.Find(town)
			return err
		},
	})
	if wrong := new(walk.UnfitError); errors.As(err, &wrong) {
		return &usageError{message: wrong.Error()}
	}
	if err != nil {
		return err
	}
	a.printf("\n")
	switch report.Ending {
	case walk.Finished:
		if report.Before != "" {
			a.printf("The sheet as it was is now %s.\n", report.Before)
		}
		a.printf("%s is written: %s. Next: heirpress %s\n", path, trade.FormatCount(report.Lots, "lot"), typed([]string{"post", path}))
		return nil
	case walk.CutOff:
		a.note("The answers end here and are saved in %s. To go on: heirpress %s", report.Journal, typed([]string{"walk", path}))
		return errTold
	}
	a.printf("%s so far, saved in %s. To go on: heirpress %s\n", trade.FormatCount(report.Lots, "lot"), report.Journal, typed([]string{"walk", path}))
	return nil
}
