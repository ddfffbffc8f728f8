package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

func (a *app) introduce() *cobra.Command {
	var note, purpose string
	c := &cobra.Command{
		Use:   "introduce LOT",
		Short: "ask a keeper for a lot",
		Long: `Ask for an introduction to the keeper of a lot. Write to them with --note, and say
with --for what you want it for. They see your name, your town and what you have
given a home before. If they say yes, each of you is shown how to reach the other;
before that, nobody is. First say how you can be reached: heirpress contact --set.`,
		Example: `  heirpress introduce P3 --note "My grandfather had one. I can be there with a trailer any weekend." --for "teaching at the library"
  heirpress introductions`,
		Args: words(1, 1, "the ID or the tag of a lot"),
		RunE: func(c *cobra.Command, args []string) error {
			if strings.TrimSpace(note) == "" || strings.TrimSpace(purpose) == "" {
				return wrongUsage(c, "--note and --for are both needed: some words to the keeper, and what you want it for")
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				got, err := conn.Introduce(c.Context(), args[0], note, purpose)
				if err != nil {
					return err
				}
				return a.printIntroduction(got)
			})
		},
	}
	c.Flags().StringVar(&note, "note", "", "what you `write` to the keeper")
	c.Flags().StringVar(&purpose, "for", "", "`what` you want it for")
	return c
}

var answerWords = map[string]pb.IntroductionAnswer{
	"yes":   pb.IntroductionAnswer_INTRODUCTION_ANSWER_YES,
	"no":    pb.IntroductionAnswer_INTRODUCTION_ANSWER_NO,
	"later": pb.IntroductionAnswer_INTRODUCTION_ANSWER_LATER,
}

func (a *app) answer() *cobra.Command {
	var note string
	var promise bool
	c := &cobra.Command{
		Use:   "answer ID yes|no|later",
		Short: "answer somebody who asks for a lot",
		Long: `Answer an introduction. Yes shows each of you how to reach the other, as it is written
down at this moment, and cannot be taken back. No is final for that lot; nobody is
told why, unless you write it with --note. Later keeps the question. With yes,
--promise promises the lot, and tells the others who asked that it is promised.`,
		Example: `  heirpress answer 4kx9mw2prt7h yes --promise --note "Come on Saturday."
  heirpress answer 4kx9mw2prt7h no --note "It goes to the school. I hope you find one."`,
		Args: words(2, 2, "the ID of an introduction, and yes, no or later"),
		RunE: func(c *cobra.Command, args []string) error {
			said, known := answerWords[args[1]]
			if !known {
				return wrongUsage(c, fmt.Sprintf("%q is no answer: say yes, no or later", args[1]))
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				got, err := conn.Introductions.AnswerIntroduction(c.Context(), &pb.AnswerIntroductionRequest{
					Name: client.IntroductionName(args[0]), Answer: said, Note: note, Promise: promise,
				})
				if err != nil {
					return err
				}
				return a.printIntroduction(got.GetIntroduction())
			})
		},
	}
	c.Flags().StringVar(&note, "note", "", "some `words` to who asks")
	c.Flags().BoolVar(&promise, "promise", false, "with yes: promise the lot to them")
	return c
}

func (a *app) introductions() *cobra.Command {
	var all bool
	c := &cobra.Command{
		Use:   "introductions [SHOP]",
		Short: "who asks for your lots, and what you have asked for",
		Long: `Show the introductions that wait for an answer: to the shops that you keep or speak
for, and those that you have asked for; or those to one shop. With --all, also those
that are answered. heirpress introductions show ID shows one, and after a yes how to
reach the other side.`,
		Example: `  heirpress introductions
  heirpress introductions show 4kx9mw2prt7h
  heirpress introductions block 4kx9mw2prt7h
  heirpress introductions report 4kx9mw2prt7h --reason "wants money sent ahead"`,
		Args: words(0, 1, "one shop, or none for all that is yours"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.listIntroductions(c.Context(), conn, strings.Join(args, ""), all)
			})
		},
	}
	c.Flags().BoolVar(&all, "all", false, "also those that are answered")
	c.AddCommand(a.introductionShow(), a.introductionBlock(), a.introductionReport(), a.reports())
	return c
}

func (a *app) listIntroductions(ctx context.Context, conn *client.Client, shop string, answered bool) error {
	of := []string{shop}
	if shop == "" {
		of = []string{client.EveryShop, ""}
	}
	told := 0
	for _, one := range of {
		found, err := conn.AllIntroductions(ctx, one, answered)
		if err != nil {
			return err
		}
		for _, i := range found {
			if err := a.printIntroduction(i); err != nil {
				return err
			}
		}
		told += len(found)
	}
	if told == 0 {
		a.note("No introductions.")
		return errNothing
	}
	return nil
}

func (a *app) introductionShow() *cobra.Command {
	return &cobra.Command{
		Use:     "show ID",
		Short:   "one introduction, and after a yes how to reach the other side",
		Example: `  heirpress introductions show 4kx9mw2prt7h`,
		Args:    words(1, 1, "the ID of an introduction"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				got, err := conn.Introductions.GetIntroduction(c.Context(), &pb.GetIntroductionRequest{Name: client.IntroductionName(args[0])})
				if err != nil {
					return err
				}
				return a.printIntroduction(got.GetIntroduction())
			})
		},
	}
}

func (a *app) introductionBlock() *cobra.Command {
	var lift bool
	c := &cobra.Command{
		Use:   "block ID",
		Short: "have no more to do with the other side",
		Long: `Block the other side of an introduction: whoever asked can ask for nothing of that
shop any more, what was open is answered no, and neither sees the other's contact
here. --lift ends a block that you made.`,
		Example: `  heirpress introductions block 4kx9mw2prt7h
  heirpress introductions block 4kx9mw2prt7h --lift`,
		Args: words(1, 1, "the ID of an introduction"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				got, err := conn.Introductions.BlockIntroduction(c.Context(), &pb.BlockIntroductionRequest{Name: client.IntroductionName(args[0]), Lift: lift})
				if err != nil {
					return err
				}
				return a.printIntroduction(got.GetIntroduction())
			})
		},
	}
	c.Flags().BoolVar(&lift, "lift", false, "end the block")
	return c
}

func (a *app) introductionReport() *cobra.Command {
	var reason string
	c := &cobra.Command{
		Use:     "report ID",
		Short:   "tell the operator of an introduction",
		Long:    `Tell the operator of an introduction, with all that was written in it, and say why.`,
		Example: `  heirpress introductions report 4kx9mw2prt7h --reason "wants money sent ahead"`,
		Args:    words(1, 1, "the ID of an introduction"),
		RunE: func(c *cobra.Command, args []string) error {
			if strings.TrimSpace(reason) == "" {
				return wrongUsage(c, "--reason is missing: say what is wrong with it")
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				_, err := conn.Introductions.ReportIntroduction(c.Context(), &pb.ReportIntroductionRequest{Name: client.IntroductionName(args[0]), Reason: reason})
				if err == nil {
					a.note("The operator will read it.")
				}
				return err
			})
		},
	}
	c.Flags().StringVar(&reason, "reason", "", "`why`")
	return c
}

// comeOf are what has come of an introduction, as it is told to the shop's side
// and to who asks.
var comeOf = map[pb.IntroductionState][2]string{
	pb.IntroductionState_INTRODUCTION_STATE_ASKED:    {"waits for your answer", "the keeper has not answered yet"},
	pb.IntroductionState_INTRODUCTION_STATE_LATER:    {"you will answer later", "the keeper will answer later; your question keeps its place"},
	pb.IntroductionState_INTRODUCTION_STATE_ACCEPTED: {"you said yes", "the keeper says yes"},
	pb.IntroductionState_INTRODUCTION_STATE_DECLINED: {"you said no", "the keeper has chosen otherwise this time; it says nothing about you, and there are other lots"},
	pb.IntroductionState_INTRODUCTION_STATE_CLOSED:   {"the lot has gone to somebody else", "the lot has gone to somebody else"},
}

func (a *app) printIntroduction(i *pb.Introduction) error {
	if a.json {
		return a.printJSON(i)
	}
	a.gap()
	side := 0
	if i.GetOwn() {
		side = 1
	}
	a.printf("%s, tag %s, %s (%s)\n", i.GetLotTitle(), i.GetTag(), i.GetShopTitle(), client.IntroductionID(i.GetName()))
	if !i.GetOwn() {
		a.line("asked by", askerText(i.GetAsker()))
	}
	a.line("note", i.GetNote())
	a.line("for", i.GetPurpose())
	a.line("answer", comeOf[i.GetState()][side])
	a.line("they write", i.GetAnswerNote())
	a.line("queue", queueText(i))
	if i.GetBlocked() {
		a.line("blocked", "there is no more between this shop and who asked")
	}
	if i.GetContact() != nil {
		a.printf("  how to reach the other side:\n")
		a.contactLines(i.GetContact())
	}
	return nil
}

// askerText is who asks, with what they have given a home.
func askerText(k *pb.Asker) string {
	text := k.GetDisplayName() + ", " + k.GetTown().GetLabel() + "; "
	if k.GetRehomedCount() == 0 {
		return text + "no lot rehomed with them yet"
	}
	var titles []string
	for _, h := range k.GetRehomed() {
		titles = append(titles, h.GetLotTitle()+" from "+h.GetShopTitle())
	}
	return text + trade.FormatCount(int(k.GetRehomedCount()), "lot") + " rehomed with them: " + strings.Join(titles, "; ")
}

// queueText is where an introduction stands among those to its lot.
func queueText(i *pb.Introduction) string {
	var said []string
	switch {
	case i.GetPromised() && i.GetOwn():
		said = append(said, "the lot is promised to you")
	case i.GetPromised():
		said = append(said, "the lot is promised to them")
	case i.GetPromisedToAnother():
		said = append(said, "the lot is promised to somebody else, and may fall back")
	}
	if open := i.GetState() == pb.IntroductionState_INTRODUCTION_STATE_ASKED || i.GetState() == pb.IntroductionState_INTRODUCTION_STATE_LATER; open {
		switch n := i.GetAskedBefore(); n {
		case 0:
			said = append(said, "nobody who still hopes for it asked before")
		case 1:
			said = append(said, "1 person who still hopes for it asked before")
		default:
			said = append(said, fmt.Sprintf("%d people who still hope for it asked before", n))
		}
	}
	return strings.Join(said, "; ")
}
