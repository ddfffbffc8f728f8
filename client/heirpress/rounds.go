package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	"heirpress/client/rehome"
	"heirpress/client/rigging"
	"heirpress/client/rounds"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// roundsFlags are what is said of rounds.
type roundsFlags struct {
	site, from string
	perDay     int
	to         []string
}

func (f *roundsFlags) add(c *cobra.Command) {
	fl := c.Flags()
	fl.StringVar(&f.site, "site", "", "a YAML `file` on the shop's doors, steps and floor, as for heirpress rig")
	fl.StringVar(&f.from, "from", "", "the first `day` on which anybody comes; usually today")
	fl.IntVar(&f.perDay, "per-day", 1, "the `number` of vehicles that come on a day")
}

func (a *app) rounds() *cobra.Command {
	var f roundsFlags
	c := &cobra.Command{
		Use:   "rounds SHOP [WANTED.yaml...]",
		Short: "who comes when for what is promised, with what vehicle, people and gear",
		Long: `Plan the pick-up rounds of what is promised: on which day who comes, what their vehicle
carries and what goes on it in which order, how many people and what gear that takes,
and when to call professional riggers.

Say with --to who gets what, by the title of their wanted list; their town, vehicle
and people are then those of the list, from the files given or else from the registry.
Anybody else can be named too: then it is planned with a vehicle that is assumed.
What is promised and not said to whom is planned as one more caller. The rounds of a
placement plan are those of heirpress rehome --rounds.

Nobody has agreed to a day until you have asked them.`,
		Example: `  heirpress rounds marrowby-job-printing-k3q7z poster-shop.yaml --to "Two Stoats Posters=P1,W1"
  heirpress rounds marrowby-job-printing-k3q7z --from 2026-12-01 --per-day 2`,
		Args: words(1, -1, "the ID of a shop"),
		RunE: func(c *cobra.Command, args []string) error {
			in, err := a.roundsInput(f)
			if err != nil {
				return err
			}
			var lists []*pb.WantedList
			for _, path := range args[1:] {
				list, err := a.readWanted(path)
				if err != nil {
					return err
				}
				lists = append(lists, list)
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.promisedRounds(c.Context(), conn, args[0], lists, f.to, in)
			})
		},
	}
	f.add(c)
	c.Flags().StringArrayVar(&f.to, "to", nil, "`who=tags`: who gets what, as \"Two Stoats Posters=P1,W1\"; can be given again")
	return c
}

// roundsInput is what the flags say.
func (a *app) roundsInput(f roundsFlags) (in rounds.Input, err error) {
	if in.First, err = dayOr(f.from); err != nil {
		return in, &usageError{message: strings.Replace(err.Error(), "--today", "--from", 1)}
	}
	if in.PerDay = f.perDay; f.perDay < 1 {
		return in, &usageError{message: fmt.Sprintf("--per-day is %d: say 1 or more", f.perDay)}
	}
	if in.Site, err = readSite(f.site); err != nil {
		return in, unreadable(f.site, err)
	}
	return in, nil
}

// unsaid is the caller for what is promised and not said to whom.
const unsaid = "whoever it is promised to"

// promisedRounds plans the rounds of what is promised of a shop.
func (a *app) promisedRounds(ctx context.Context, conn *client.Client, shop string, lists []*pb.WantedList, to []string, in rounds.Input) error {
	load, err := conn.Load(ctx, []string{shop})
	if err != nil {
		return err
	}
	promised := slices.DeleteFunc(load, func(l *pb.Lot) bool { return l.GetState() != pb.LotState_LOT_STATE_PROMISED })
	if len(promised) == 0 {
		a.note("Nothing of it is promised. heirpress edit TAG state=promised says so of a lot; heirpress rehome --rounds plans for a proposal.")
		return errNothing
	}
	if len(lists) == 0 && len(to) > 0 {
		if lists, err = conn.AllWantedLists(ctx); err != nil {
			return err
		}
	}
	if in.Callers, err = callersOf(promised, lists, to); err != nil {
		return &usageError{message: err.Error()}
	}
	in.Shop = promised[0].GetShopTitle()
	return a.printRounds(rounds.Make(in))
}

// callersOf shares lots out as --to says.
func callersOf(lots []*pb.Lot, lists []*pb.WantedList, to []string) ([]rounds.Caller, error) {
	byTag := map[string]*pb.Lot{}
	for _, l := range lots {
		byTag[trade.FoldTag(l.GetTag())] = l
	}
	var all []rounds.Caller
	for _, text := range to {
		name, tags, said := strings.Cut(text, "=")
		if name = strings.TrimSpace(name); !said || name == "" {
			return nil, fmt.Errorf("--to is %q: write who and the tags, as \"Two Stoats Posters=P1,W1\"", text)
		}
		c := callerNamed(name, lists)
		for _, tag := range strings.Split(tags, ",") {
			key := trade.FoldTag(tag)
			if byTag[key] == nil {
				return nil, fmt.Errorf("--to %q: no lot with the tag %q is promised, or it was given to somebody before", name, strings.TrimSpace(tag))
			}
			c.Lots = append(c.Lots, byTag[key])
			delete(byTag, key)
		}
		c.Road = roadFrom(c.Town, c.Lots)
		all = append(all, c)
	}
	rest := rounds.Caller{Name: unsaid}
	for _, l := range lots {
		if byTag[trade.FoldTag(l.GetTag())] != nil {
			rest.Lots = append(rest.Lots, l)
		}
	}
	return append(all, rest), nil
}

// callerNamed is a caller with what their wanted list says, if there is one.
func callerNamed(name string, lists []*pb.WantedList) rounds.Caller {
	for _, l := range lists {
		if trade.FoldTitle(l.GetTitle()) == trade.FoldTitle(name) || l.GetName() == client.WantedListName(name) {
			return rounds.Caller{Name: l.GetTitle(), Town: townLabel(l), Kit: l.GetKit()}
		}
	}
	return rounds.Caller{Name: name}
}

// townLabel is where a list is: one from a file has only what its owner wrote.
func townLabel(l *pb.WantedList) string { return orElse(l.GetTown().GetLabel(), l.GetPlace()) }

// roadFrom is the way from a town to where lots are; nil if either is not known.
func roadFrom(town string, lots []*pb.Lot) *place.Road {
	if town == "" || len(lots) == 0 {
		return nil
	}
	from, err := place.Find(town)
	if err != nil {
		return nil
	}
	at, err := place.Find(lots[0].GetTown().GetLabel())
	if err != nil {
		return nil
	}
	road := place.JourneyBetween(from, at).Road
	return &road
}

// plannedRounds plans the rounds of a placement plan.
func (a *app) plannedRounds(plan *rehome.Plan, in rounds.Input) error {
	for _, h := range plan.Homes {
		c := rounds.Caller{Name: h.List.GetTitle(), Town: townLabel(h.List), Kit: h.List.GetKit(), Road: h.Road}
		for _, g := range h.Given {
			c.Lots = append(c.Lots, g.Lot)
			in.Shop = g.Lot.GetShopTitle()
		}
		in.Callers = append(in.Callers, c)
	}
	if len(in.Callers) == 0 {
		a.note("The plan finds no home for anything, so nobody comes.")
		return errNothing
	}
	return a.printRounds(rounds.Make(in))
}

// printRounds prints rounds: in JSON a line for each, and what is said of all last.
func (a *app) printRounds(p *rounds.Plan) error {
	if !a.json {
		return rounds.Text(a.out, p, a.unitSystem())
	}
	for _, r := range p.Rounds {
		if err := a.printLine(struct {
			Round rounds.Round `json:"round"`
		}{r}); err != nil {
			return err
		}
	}
	return a.printLine(struct {
		Shop      string             `json:"shop"`
		TooMuch   []rounds.TooMuch   `json:"tooMuch,omitempty"`
		Questions []rounds.Questions `json:"questions,omitempty"`
		Hazards   []rigging.Hazard   `json:"hazards,omitempty"`
		Cautions  []string           `json:"cautions"`
	}{p.Shop, p.TooMuch, p.Questions, p.Hazards, p.Cautions})
}
