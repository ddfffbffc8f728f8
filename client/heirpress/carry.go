package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"
	"google.golang.org/grpc/codes"

	"heirpress/client"
	"heirpress/search/trade"
)

func (a *app) carry() *cobra.Command {
	var mine, theirs bool
	c := &cobra.Command{
		Use:   "carry SHOP...",
		Short: "carry shops of your own registry to a shared one",
		Long: `Carry shops from your own registry, on this machine, to the shared one that --server
names: what was written down where there was no network. Carry again, and what has
changed here since is changed there; nothing is there twice. If it is cut off, do it
again.

What was changed on both sides, and a title or tag that something else has there, is
shown as a conflict and left alone. Then change the one here so that they agree, or
say for all that is named by this call:

  --mine     what is here is written over what is there
  --theirs   what is there stays as it is

A lot that is rehomed or withdrawn before it was ever carried is left out. Wanted
lists and alerts are not carried. The exit status is 1 if there are conflicts.`,
		Example: `  heirpress carry the-tolliver-basement-k3q7z --server registry.example.org:7427
  heirpress carry "The Tolliver basement" --server registry.example.org:7427 --mine`,
		Args: words(1, -1, "at least one shop"),
		RunE: func(c *cobra.Command, shops []string) error {
			settle, err := settling(c, mine, theirs)
			if err != nil {
				return err
			}
			if a.options.Server == "" {
				return wrongUsage(c, "say with --server which shared registry to carry to")
			}
			return a.carryAll(c.Context(), shops, settle)
		},
	}
	c.Flags().BoolVar(&mine, "mine", false, "where both sides were changed, write what is here over what is there")
	c.Flags().BoolVar(&theirs, "theirs", false, "where both sides were changed, let what is there stand")
	return c
}

func settling(c *cobra.Command, mine, theirs bool) (client.Settle, error) {
	switch {
	case mine && theirs:
		return client.Show, wrongUsage(c, "--mine and --theirs cannot both be meant: give one of the two")
	case mine:
		return client.Mine, nil
	case theirs:
		return client.Theirs, nil
	}
	return client.Show, nil
}

// carryAll carries shops from the registry of one's own, which is opened beside
// the connection to the server.
func (a *app) carryAll(ctx context.Context, shops []string, settle client.Settle) (err error) {
	own := a.options
	own.Server = ""
	from, err := client.Connect(ctx, own)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, from.Close()) }()
	notes, err := client.OpenCarryNotes(own.Dir)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, notes.Close()) }()
	return a.with(ctx, func(to *client.Client) error {
		whole := true
		for _, what := range shops {
			ok, err := a.carryOne(ctx, from, to, notes, what, settle)
			if err != nil {
				return err
			}
			whole = whole && ok
		}
		if !whole {
			return errTold
		}
		return nil
	})
}

func (a *app) carryOne(ctx context.Context, from, to *client.Client, notes *client.CarryNotes, what string, settle client.Settle) (bool, error) {
	shop, err := from.LookupShop(ctx, what)
	if err != nil {
		return false, err
	}
	report, err := client.Carry(ctx, from, to, notes, client.Servers(a.options.Server), shop, settle)
	if client.Code(err) == codes.Unavailable {
		a.note("%s: what has arrived stays there: carry it again, and nothing is doubled", shop.GetTitle())
	}
	if err != nil {
		return false, err
	}
	return report.Whole(), a.tellCarry(report)
}

var carryWords = map[client.Outcome]string{
	client.Brought: "a new shop there", client.Changed: "changed there", client.Unchanged: "as before there",
	client.Clash: "not carried", client.Refused: "not carried",
}

func (a *app) tellCarry(r *client.CarryReport) error {
	if a.json {
		return a.carryJSON(r)
	}
	known := carryWords[r.Outcome]
	if r.There != "" {
		known += " (" + client.ID(r.There) + ")"
	}
	a.printf("%s, %s: %s\n", r.Shop.GetTitle(), r.Shop.GetTown().GetLabel(), known)
	if r.There != "" && r.Lots != nil {
		a.printf("  %s\n", carriedLots(r))
	}
	if r.Photos > 0 {
		a.printf("  %s carried\n", trade.FormatCount(r.Photos, "photo"))
	}
	a.tellClash(r.Shop.GetTitle(), r.Conflict, r.Problems)
	for _, l := range r.Lots {
		a.tellClash("tag "+l.Lot.GetTag(), l.Conflict, l.Problems)
	}
	return nil
}

// tellClash tells what a person has to settle, field by field.
func (a *app) tellClash(what string, c *client.Conflict, problems []client.FieldProblem) {
	for _, p := range problems {
		a.note("%s: refused: %s", what, sayProblem(p))
	}
	if c == nil {
		return
	}
	a.note("%s: conflict: %s", what, c.Why)
	for _, d := range c.Fields {
		a.note("  %s: here %s; there %s", d.Field, d.Here, d.There)
	}
}

func sayProblem(p client.FieldProblem) string {
	if p.Field == "" {
		return p.Message
	}
	return p.Field + ": " + p.Message
}

// carriedLots is what became of the lots, in words.
func carriedLots(r *client.CarryReport) string {
	text := trade.FormatCount(len(r.Lots), "lot")
	sep := ": "
	for _, o := range []struct {
		outcome client.Outcome
		word    string
	}{
		{client.Brought, "carried"}, {client.Changed, "changed"}, {client.Unchanged, "as before"},
		{client.Left, "left out, not to be had"}, {client.Clash, "in conflict"}, {client.Refused, "refused"},
	} {
		if n := r.Count(o.outcome); n > 0 {
			text += fmt.Sprintf("%s%d %s", sep, n, o.word)
			sep = ", "
		}
	}
	return text
}

type carryLine struct {
	Outcome  string       `json:"outcome"`
	Shop     any          `json:"shop,omitempty"`
	Lot      any          `json:"lot,omitempty"`
	There    string       `json:"there,omitempty"`
	Conflict string       `json:"conflict,omitempty"`
	Fields   []fieldsLine `json:"fields,omitempty"`
	Problem  []string     `json:"problems,omitempty"`
}

type fieldsLine struct {
	Field string `json:"field"`
	Here  string `json:"here"`
	There string `json:"there"`
}

// carryJSON prints a line for the shop and one for every lot.
func (a *app) carryJSON(r *client.CarryReport) error {
	shop, err := jsonOf(r.Shop)
	if err != nil {
		return err
	}
	line := carryLine{Outcome: string(r.Outcome), Shop: shop, There: r.There}
	line.settle(r.Conflict, r.Problems)
	if err := a.printLine(line); err != nil {
		return err
	}
	for _, l := range r.Lots {
		if err := a.carriedLotJSON(l); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) carriedLotJSON(l client.CarriedLot) error {
	lot, err := jsonOf(l.Lot)
	if err != nil {
		return err
	}
	line := carryLine{Outcome: string(l.Outcome), Lot: lot, There: l.There}
	line.settle(l.Conflict, l.Problems)
	return a.printLine(line)
}

func (l *carryLine) settle(c *client.Conflict, problems []client.FieldProblem) {
	for _, p := range problems {
		l.Problem = append(l.Problem, sayProblem(p))
	}
	if c == nil {
		return
	}
	l.Conflict = c.Why
	for _, d := range c.Fields {
		l.Fields = append(l.Fields, fieldsLine{d.Field, d.Here, d.There})
	}
}
