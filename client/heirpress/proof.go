package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/types/known/timestamppb"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

type proofFlags struct {
	codeFile, asRead string
	hold             bool
}

func (a *app) proof() *cobra.Command {
	var f proofFlags
	c := &cobra.Command{
		Use:   "proof SHOP [pass [LOT...] | correct LOT|shop WORDS]",
		Short: "read what was listed in your name, and pass it before it is shown",
		Long: `Read the drafts of a shop as they will be shown, pass them, or say what has to be
changed. What a go-between lists is a draft until its keeper has passed it.

pass passes everything, or the lots that are named, and offers it; with --hold it is
passed and not offered yet. With --as-read, which the proof itself tells, nothing is
passed that has changed since you read it.

A keeper without an account does all this by a code, which a go-between makes with
heirpress proof code and gives to them. It is read from a file, or with --code-file -
from standard input; SHOP is then left out. It is good for one answer.`,
		Example: `  heirpress proof marrowby-job-printing-k3q7z
  heirpress proof marrowby-job-printing-k3q7z pass
  heirpress proof marrowby-job-printing-k3q7z correct P3 "it was Father's, not Grandfather's"
  heirpress proof code marrowby-job-printing-k3q7z --out code.txt
  heirpress proof --code-file code.txt pass`,
		Args: words(0, -1, "a shop"),
		RunE: func(c *cobra.Command, args []string) error { return a.proofDo(c, f, args) },
	}
	c.Flags().StringVar(&f.codeFile, "code-file", "", "read the code from this `file`, or - for standard input")
	c.Flags().StringVar(&f.asRead, "as-read", "", "with pass: the `mark` of the proof that you have read")
	c.Flags().BoolVar(&f.hold, "hold", false, "with pass: do not offer it yet")
	c.AddCommand(a.proofCode(), a.proofOpen())
	return c
}

func (a *app) proofDo(c *cobra.Command, f proofFlags, args []string) error {
	var of client.Proofed
	if f.codeFile != "" {
		code, err := readCode(c.InOrStdin(), f.codeFile)
		if err != nil {
			return err
		}
		of.Code = code
	} else {
		if len(args) == 0 {
			return wrongUsage(c, "proof needs a shop, or --code-file")
		}
		of.Shop, args = args[0], args[1:]
	}
	act := ""
	if len(args) > 0 {
		act, args = args[0], args[1:]
	}
	if act != "" && act != "pass" && act != "correct" || act == "correct" && len(args) != 2 {
		return wrongUsage(c, "after the shop say nothing, or pass and lots, or correct and a lot (or shop) and what to change")
	}
	return a.with(c.Context(), func(conn *client.Client) error { return a.proofAct(c.Context(), conn, of, f, act, args) })
}

// readCode is the code in a file.
func readCode(stdin io.Reader, file string) (string, error) {
	from := stdin
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return "", unreadable(file, err)
		}
		defer f.Close()
		from = f
	}
	text, err := io.ReadAll(io.LimitReader(from, 1<<10))
	if err != nil {
		return "", unreadable(file, err)
	}
	code := strings.TrimSpace(string(text))
	if code == "" {
		return "", &usageError{message: file + " holds no code"}
	}
	return code, nil
}

func (a *app) proofAct(ctx context.Context, conn *client.Client, of client.Proofed, f proofFlags, act string, args []string) error {
	p, err := conn.Proof(ctx, of)
	if err != nil {
		return err
	}
	switch act {
	case "pass":
		if f.asRead != "" {
			p.Etag = f.asRead
		}
		lots, err := conn.PassProof(ctx, of, p, args, f.hold)
		if err != nil {
			return err
		}
		return a.tellPassed(lots)
	case "correct":
		lot := args[0]
		if lot == "shop" {
			lot = ""
		}
		if err := conn.CorrectProof(ctx, of, p, lot, args[1]); err != nil {
			return err
		}
		a.note("It is written down for whoever lists the shop.")
		return nil
	}
	return a.printProof(p, of)
}

func (a *app) tellPassed(lots []*pb.Lot) error {
	for _, l := range lots {
		if a.json {
			if err := a.printJSON(l); err != nil {
				return err
			}
			continue
		}
		a.printf("%s: %s, %s\n", l.GetTag(), l.GetTitle(), trade.StateWord(l.GetState()))
	}
	if !a.json {
		a.note("%s passed", trade.FormatCount(len(lots), "lot"))
	}
	return nil
}

func (a *app) printProof(p *pb.Proof, of client.Proofed) error {
	if a.json {
		return a.printJSON(p)
	}
	s := p.GetShop()
	a.printf("%s, %s (%s)\n", s.GetTitle(), s.GetTown().GetLabel(), client.ID(s.GetName()))
	a.line("story", s.GetStory())
	a.line("access", s.GetAccess())
	a.line("clear by", dateText(s.GetClearBy()))
	a.line("collection", s.GetCollectionName())
	for _, c := range p.GetCorrections() {
		of := "the shop"
		if c.GetLot() != "" {
			of = client.ID(c.GetLot())
		}
		a.line("to be changed of "+of, c.GetNote())
	}
	if len(p.GetLots()) == 0 {
		a.note("There is nothing to pass.")
		return errNothing
	}
	for _, l := range p.GetLots() {
		a.printf("\n")
		if err := a.showLot(l); err != nil {
			return err
		}
	}
	whose := "heirpress proof " + client.ID(s.GetName())
	if of.Code != "" {
		whose = "heirpress proof --code-file FILE"
	}
	a.note("To pass it as it stands: %s pass --as-read %s", whose, p.GetEtag())
	return nil
}

func (a *app) proofCode() *cobra.Command {
	var out, expires string
	c := &cobra.Command{
		Use:   "code SHOP",
		Short: "make a code with which a keeper without an account passes the proof",
		Long: `Make a code for the keeper of a shop who has no account. Whoever has it can read the
drafts of the shop, and pass or correct them once: give it to nobody else. It is shown
this once.`,
		Example: `  heirpress proof code marrowby-job-printing-k3q7z --out code.txt`,
		Args:    words(1, 1, "a shop"),
		RunE: func(c *cobra.Command, args []string) error {
			req := &pb.CreateProofCodeRequest{Shop: client.ShopName(args[0])}
			if expires != "" {
				day, err := trade.ParseDate(expires)
				if err != nil {
					return wrongUsage(c, "--expires: "+err.Error())
				}
				req.ExpireTime = timestamppb.New(trade.DayOf(day))
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.makeCode(c.Context(), conn, req, out)
			})
		},
	}
	c.Flags().StringVar(&out, "out", "", "write the code to this new `file`, which only you can read")
	c.Flags().StringVar(&expires, "expires", "", "the `day` it stops being good, as 2027-01-31; usually in two weeks")
	return c
}

func (a *app) makeCode(ctx context.Context, conn *client.Client, req *pb.CreateProofCodeRequest, out string) (err error) {
	to := a.out
	if out != "" {
		// The file comes first: a code that cannot be written is not made.
		f, err := os.OpenFile(out, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
		if err != nil {
			return unreadable(out, err)
		}
		defer f.Close()
		to = f
	}
	got, err := conn.Proofs.CreateProofCode(ctx, req)
	if err != nil {
		return err
	}
	a.note("The code is good for one answer, until %s. Where the registry has pages, it is a link too: /proof/ and the code.", dayIn(got.GetExpireTime().AsTime()))
	_, err = fmt.Fprintln(to, got.GetCode())
	return err
}

func (a *app) proofOpen() *cobra.Command {
	var place, note string
	c := &cobra.Command{
		Use:   "open TITLE",
		Short: "open a shop in the name of a keeper who has no account",
		Long: `Open a shop in the name of a keeper who has no account. You are then its go-between:
what you post into it, under the same title, are drafts until the keeper has passed
them by a code. Write with --note how the keeper has asked you to; it is recorded and
never changed.`,
		Example: `  heirpress proof open "The Tolliver basement" --place "Grand Rapids, MI" --note "Mrs. Tolliver asked me to on the telephone, on the third of May"
  heirpress post basement.csv --shop "The Tolliver basement"
  heirpress proof code the-tolliver-basement-k3q7z`,
		Args: words(1, 1, "the title of the shop"),
		RunE: func(c *cobra.Command, args []string) error {
			if strings.TrimSpace(note) == "" || strings.TrimSpace(place) == "" {
				return wrongUsage(c, "--place and --note are both needed: the town, and how the keeper has asked you to")
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				got, err := conn.Shops.CreateShop(c.Context(), &pb.CreateShopRequest{
					Shop: &pb.Shop{Title: args[0], Place: place}, OnBehalf: note, RequestId: rand.Text(),
				})
				if err != nil {
					return err
				}
				return a.showShop(c.Context(), conn, got.GetShop())
			})
		},
	}
	c.Flags().StringVar(&place, "place", "", "its `town`, as Dayton, OH")
	c.Flags().StringVar(&note, "note", "", "how the keeper has `asked` you to")
	return c
}
