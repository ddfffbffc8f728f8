package main

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	"heirpress/client/worth"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// worthFlags are what the command takes beside the lots, as they were typed.
type worthFlags struct {
	sales, scrap                    []string
	today, yearly, recovery         string
	buyer, perMile, riggers, oldest string
}

func (a *app) worth() *cobra.Command {
	var f worthFlags
	c := &cobra.Command{
		Use:   "worth SHOP|LOT...",
		Short: "what it may fetch, and why",
		Long: `Tell what lots, or all of a shop, may fetch: each is held against recorded sales of
the like, from rehomings in the registry and from files of sale records, and every
sale is shown with how it was adjusted. Beside it stand what the metal would bring at
the price that you give, and what a buyer pays to move it.

A file of sale records is CSV with these columns, in any order; date, title, kind and
price are needed:

  date       the day of the sale: 2026-03-14
  title      what it was
  kind       as in an inventory sheet: press, platen jobber, metal type
  class      the build, if the kind does not say it
  size       as in an inventory sheet: 10x15, 24pt, 12 line
  count      how many, where the lot was several of one thing
  weight     of the whole lot: 1,540 lb
  condition  as in an inventory sheet: working, needs care
  missing    what was missing, with commas; none
  complete   how much of it was there, in percent, if nobody listed what was missing
  town       where it was sold: Dayton, OH
  price      what was paid, never what was asked: $900
  currency   three letters, where the price does not say
  sale       which sale or shop it belonged to; any word, the same for all of one

It is a range of recorded sales. When money hangs on the figure, have a qualified
appraiser see the things themselves.`,
		Example: `  heirpress worth marrowby-job-printing-k3q7z --sales sales.csv
  heirpress worth P1 P2 --sales sales.csv --scrap 0.35/lb --scrap iron=0.08/lb
  heirpress worth P2 --sales sales.csv --per-year 3% --buyer 'Pittsburgh, PA' --per-mile 2.50 --riggers 800`,
		Args: words(1, -1, "the ID of a shop or a lot, or a lot's tag"),
		RunE: func(c *cobra.Command, ids []string) error {
			in, err := a.worthInput(f)
			if err != nil {
				return err
			}
			return a.with(c.Context(), func(conn *client.Client) error { return a.worthOf(c.Context(), conn, ids, in) })
		},
	}
	fl := c.Flags()
	fl.StringArrayVar(&f.sales, "sales", nil, "a CSV `file` of sale records; can be given again")
	fl.StringArrayVar(&f.scrap, "scrap", nil, "what a dealer `pays` for type metal, as 0.35/lb, or for another, as iron=0.08/lb; can be given again")
	fl.StringVar(&f.recovery, "recovery", "", "how much of the weight a dealer pays for, in `percent`")
	fl.StringVar(&f.yearly, "per-year", "", "by how many `percent` prices rise in a year, as 3%")
	fl.StringVar(&f.oldest, "oldest", "", "use no sale of more `years` ago; 15 if you do not say")
	fl.StringVar(&f.buyer, "buyer", "", "the buyer's `town`")
	fl.StringVar(&f.perMile, "per-mile", "", "what a `mile` costs with the vehicle it takes")
	fl.StringVar(&f.riggers, "riggers", "", "what riggers `ask` for one lot")
	fl.StringVar(&f.today, "today", "", "the `day` of the report, if it is not today")
	return c
}

// worthInput reads the flags and the files that they name.
func (a *app) worthInput(f worthFlags) (worth.Input, error) {
	in := worth.Input{Currency: a.currency}
	var err error
	if in.Today, err = dayOr(f.today); err != nil {
		return in, err
	}
	for _, parse := range []func(*worth.Input, worthFlags) error{a.worthRates, a.worthScrap, a.worthMoving, a.worthSales} {
		if err := parse(&in, f); err != nil {
			return in, err
		}
	}
	return in, nil
}

func (a *app) worthRates(in *worth.Input, f worthFlags) error {
	var err error
	if in.Yearly, err = percentOf("--per-year", f.yearly, -50, 50); err != nil {
		return err
	}
	if in.Recovery, err = percentOf("--recovery", f.recovery, 0, 100); err != nil {
		return err
	}
	if f.oldest == "" {
		return nil
	}
	if in.OldestYears, err = strconv.ParseFloat(f.oldest, 64); err != nil || !(in.OldestYears > 0 && in.OldestYears <= 200) {
		return &usageError{message: fmt.Sprintf("--oldest is %q: write a number of years, as 10", f.oldest)}
	}
	return nil
}

// percentOf is a share in percent; nil if nothing was given.
func percentOf(flag, text string, least, most float64) (*float64, error) {
	if text == "" {
		return nil, nil
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(text, "%")), 64)
	if err != nil || !(v >= least && v <= most) {
		return nil, &usageError{message: fmt.Sprintf("%s is %q: write percent, %.0f to %.0f", flag, text, least, most)}
	}
	v /= 100
	return &v, nil
}

func (a *app) worthScrap(in *worth.Input, f worthFlags) error {
	for _, text := range f.scrap {
		p, err := worth.ParseScrap(text, a.currency)
		if err != nil {
			return &usageError{message: fmt.Sprintf("--scrap %s: %v", text, err)}
		}
		for _, other := range in.Scrap {
			if other.Metal == p.Metal {
				return &usageError{message: fmt.Sprintf("--scrap %s: there is a price of %s already", text, p.Metal)}
			}
		}
		in.Scrap = append(in.Scrap, p)
	}
	return nil
}

func (a *app) worthMoving(in *worth.Input, f worthFlags) error {
	for _, m := range []struct {
		flag, text string
		to         **pb.Money
	}{{"--per-mile", f.perMile, &in.Moving.PerMile}, {"--riggers", f.riggers, &in.Moving.Riggers}} {
		if m.text == "" {
			continue
		}
		amount, err := trade.ParseMoney(m.text, a.currency)
		if err == nil && amount.GetCurrencyCode() != a.currency {
			err = fmt.Errorf("is in %s, and this report is in %s: give --currency", amount.GetCurrencyCode(), a.currency)
		}
		if *m.to = amount; err != nil {
			return &usageError{message: m.flag + ": " + err.Error()}
		}
	}
	if f.buyer == "" {
		return nil
	}
	town, err := place.Find(f.buyer)
	if in.Moving.To = town.Message(); err != nil {
		return &usageError{message: "--buyer: " + err.Error()}
	}
	return nil
}

// worthSales reads the files of sale records. Rows that are wrong are told, and
// the others are used.
func (a *app) worthSales(in *worth.Input, f worthFlags) error {
	for _, path := range f.sales {
		file, err := os.Open(path)
		if err != nil {
			return unreadable(path, err)
		}
		sales, bad, err := worth.ReadSales(path, file, a.currency)
		file.Close()
		if err != nil {
			return unreadable(path, err)
		}
		for _, p := range bad {
			a.note("%s, %v; the row is not used", path, p)
		}
		in.Sales = append(in.Sales, sales...)
	}
	return nil
}

func (a *app) worthOf(ctx context.Context, conn *client.Client, ids []string, in worth.Input) error {
	var err error
	if in.Lots, err = conn.Load(ctx, ids); err != nil {
		return err
	}
	if len(in.Lots) == 0 {
		a.note("There is no lot there to tell of.")
		return errNothing
	}
	recorded, err := conn.Rehomings(ctx)
	if err != nil {
		return err
	}
	in.Sales = append(recorded, in.Sales...)
	report := worth.Make(in)
	if a.json {
		return a.printLine(report)
	}
	return worth.Text(a.out, report, a.unitSystem())
}
