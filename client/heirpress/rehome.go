package main

import (
	"context"
	"os"
	"time"

	"github.com/spf13/cobra"

	"heirpress/client"
	"heirpress/client/rehome"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// rehomeFlags are what the command takes beside the shop.
type rehomeFlags struct {
	wishes, whole, today string
	together, prefer     []string
	time                 time.Duration
	// rounds has the pick-up rounds told instead of the plan, as visits says.
	rounds bool
	visits roundsFlags
}

func (a *app) rehome() *cobra.Command {
	var f rehomeFlags
	c := &cobra.Command{
		Use:   "rehome SHOP [WANTED.yaml...]",
		Short: "who should get what, so that the most finds good homes",
		Long: `Draw up a placement plan: which lots of a shop should go to which wanted list, so
that as much as can be finds a home that suits it. The lists are those of the files
given, or else all that you may see in the registry.

A plan keeps to purses, vehicles, the clear-by day and your wishes, gives no lot
twice, says why each goes where, names what is left over, and tells what your wishes
cost. Lots that are promised are left out. Your wishes can be a YAML file:

  whole: prefer                       only, prefer or either
  whole_offers: [{list: Two Stoats Posters, trips: 4}]
  together: [{lots: [C1, C2], must: yes}, {lots: [S-01, S-02], points: 30}]
  prefer: [Brambleway School print room]
  seekers: [{list: Spare room, budget: $500, trips: 2}]
  home_points: 50
  least_fit: 20
  hired_help: no

It is a proposal: nothing is promised to anybody.`,
		Example: `  heirpress rehome marrowby-job-printing-k3q7z --wishes wishes.yaml
  heirpress rehome marrowby-job-printing-k3q7z school.yaml hobby.yaml --together P1,P2
  heirpress rehome marrowby-job-printing-k3q7z school.yaml hobby.yaml --rounds --from 2026-12-01`,
		Args: words(1, -1, "the ID of a shop"),
		RunE: func(c *cobra.Command, args []string) error {
			in, err := a.rehomeInput(args[1:], f)
			if err != nil {
				return err
			}
			print := a.printPlan
			if f.rounds {
				visits, err := a.roundsInput(f.visits)
				if err != nil {
					return err
				}
				print = func(plan *rehome.Plan) error { return a.plannedRounds(plan, visits) }
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.rehomeShop(c.Context(), conn, args[0], in, f.time, print)
			})
		},
	}
	fl := c.Flags()
	fl.StringVar(&f.wishes, "wishes", "", "a YAML `file` of your wishes")
	fl.StringVar(&f.whole, "whole", "", "whether the shop `stays` in one piece: only, prefer or either")
	fl.StringArrayVar(&f.together, "together", nil, "the `tags` of lots that must go to one home, with commas; can be given again")
	fl.StringArrayVar(&f.prefer, "prefer", nil, "the `title` of a list to give to rather than to others; can be given again")
	fl.StringVar(&f.today, "today", "", "the `day` that the plan is made on, if it is not today")
	fl.DurationVar(&f.time, "time", 10*time.Second, "how long to look for the best plan, and as long again for each alternative")
	fl.BoolVar(&f.rounds, "rounds", false, "tell the pick-up rounds of the plan instead: who comes when, with what vehicle, people and gear")
	f.visits.add(c)
	return c
}

// rehomeInput reads what the command line and the files say.
func (a *app) rehomeInput(paths []string, f rehomeFlags) (rehome.Input, error) {
	var in rehome.Input
	var err error
	if in.Wishes, err = a.readWishes(f.wishes); err != nil {
		return in, err
	}
	if err := in.Wishes.Wish(f.whole, f.together, f.prefer); err != nil {
		return in, &usageError{message: err.Error()}
	}
	if in.Today, err = dayOr(f.today); err != nil {
		return in, err
	}
	if f.time <= 0 {
		return in, &usageError{message: "--time is " + f.time.String() + ": say how long, as 10s"}
	}
	for _, path := range paths {
		list, err := a.readWanted(path)
		if err != nil {
			return in, err
		}
		in.Lists = append(in.Lists, list)
	}
	return in, nil
}

func (a *app) readWishes(path string) (rehome.Wishes, error) {
	if path == "" {
		return rehome.Wishes{}, nil
	}
	file, err := os.Open(path)
	if err != nil {
		return rehome.Wishes{}, unreadable(path, err)
	}
	defer file.Close()
	wishes, err := rehome.ReadWishes(path, file, a.currency)
	if err != nil {
		return wishes, unreadable(path, err)
	}
	return wishes, nil
}

// dayOr is a day that was given, or today.
func dayOr(text string) (*pb.Date, error) {
	if text == "" {
		y, m, d := time.Now().Date()
		return &pb.Date{Year: int32(y), Month: int32(m), Day: int32(d)}, nil
	}
	day, err := trade.ParseDate(text)
	if err != nil {
		return nil, &usageError{message: "--today: " + err.Error()}
	}
	return day, nil
}

func (a *app) rehomeShop(ctx context.Context, conn *client.Client, shop string, in rehome.Input, limit time.Duration, print func(*rehome.Plan) error) error {
	load, err := conn.Load(ctx, []string{shop})
	if err != nil {
		return err
	}
	for _, l := range load {
		if l.GetState() != pb.LotState_LOT_STATE_PROMISED {
			in.Lots = append(in.Lots, l)
		}
	}
	if len(in.Lists) == 0 {
		if in.Lists, err = conn.AllWantedLists(ctx); err != nil {
			return err
		}
	}
	if len(in.Lots) == 0 || len(in.Lists) == 0 {
		a.note("There is nothing to plan: %s to place, %s.", trade.FormatCount(len(in.Lots), "lot"), trade.FormatCount(len(in.Lists), "wanted list"))
		return errNothing
	}
	in.Candidates = client.Candidates(in.Lists, in.Lots)
	plan, err := rehome.Make(in, func() rehome.Stop {
		timed, cancel := context.WithTimeout(ctx, limit)
		context.AfterFunc(timed, cancel)
		return func() bool { return timed.Err() != nil }
	})
	if err != nil {
		return &usageError{message: err.Error()}
	}
	return print(plan)
}

func (a *app) printPlan(plan *rehome.Plan) error {
	if !a.json {
		return rehome.Text(a.out, plan, a.unitSystem())
	}
	lines, err := rehome.Lines(plan)
	if err != nil {
		return err
	}
	for _, l := range lines {
		if err := a.printLine(l); err != nil {
			return err
		}
	}
	return nil
}
