package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"heirpress/client"
	"heirpress/search/trade"
)

// app is what every command shares: where to print, which registry to use, and
// how to show measures.
type app struct {
	out, notes io.Writer
	options    client.Options
	json       bool
	units      string
	told       bool // something was told that the next has to be set apart from
	currency   string
}

const about = `heirpress finds a letterpress shop its next home.

It keeps a registry of shops and their lots: presses, type, cuts and all that
belongs to them. Without --server the registry is your own, on this machine, and
needs no network. With --server it is shared.

Measures are read as people write them: 10x15, 10 x 15 in, 254x381 mm, 1,350 lb,
612 kg, 24pt, 12 line, 300mi, 480 km.

Answers go to standard output and notes to standard error. With --json the answers
are JSON Lines, one object a line.

Exit status:
  0  done
  1  failed, or done only in part
  2  wrong usage: nothing was done, and the words or the file have to be changed
  3  nothing found`

// run runs one command line and returns its exit status.
func run(ctx context.Context, args []string, out, notes io.Writer) int {
	a := &app{out: out, notes: notes}
	root := a.root()
	root.SetArgs(args)
	root.SetOut(out)
	root.SetErr(notes)
	err := root.ExecuteContext(ctx)
	return a.settle(err)
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:           "heirpress",
		Short:         "find a letterpress shop its next home",
		Long:          about,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          noWords,
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	cobra.EnableCommandSorting = false // they are told in the order of the story
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error { return wrongUsage(c, err.Error()) })
	a.shared(root)
	root.AddCommand(a.post(), a.find(), a.score(), a.rig(), a.worth(), a.rehome(), a.rounds(), a.handover(), a.want(), a.alerts(), a.show(), a.edit(), a.photo(), a.history(), a.proof(), a.introduce(), a.answer(), a.introductions(), a.contact(), a.place(), a.sheet(), a.walk(), a.carry(), a.demo(),
		a.login(), a.logout(), a.account(), a.token(), a.delegate(), a.entrust())
	inOurWords(root)
	return root
}

// inOurWords says what the library's own commands do as we would say it.
func inOurWords(root *cobra.Command) {
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd()
	for _, c := range root.Commands() {
		switch c.Name() {
		case "help":
			c.Short = "help about a command"
		case "completion":
			c.Short = "write a script that lets your shell complete commands and flags"
		}
	}
}

// shared adds the flags that every command takes.
func (a *app) shared(root *cobra.Command) {
	f := root.PersistentFlags()
	f.StringVar(&a.options.Server, "server", os.Getenv("HEIRPRESS_SERVER"), "a shared registry's `host:port`; several that share it, with commas between (HEIRPRESS_SERVER)")
	f.StringVar(&a.options.Dir, "data", os.Getenv("HEIRPRESS_DATA"), "`folder` of your own registry (HEIRPRESS_DATA)")
	f.StringVar(&a.options.CAFile, "ca", os.Getenv("HEIRPRESS_CA"), "PEM `file` of the authorities to trust (HEIRPRESS_CA)")
	f.StringVar(&a.options.CertFile, "tls-cert", os.Getenv("HEIRPRESS_TLS_CERT"), "PEM `file` of a certificate of your own, for a server that wants one (HEIRPRESS_TLS_CERT)")
	f.StringVar(&a.options.KeyFile, "tls-key", os.Getenv("HEIRPRESS_TLS_KEY"), "PEM `file` of its key (HEIRPRESS_TLS_KEY)")
	f.StringVar(&a.options.TokenFile, "token-file", os.Getenv("HEIRPRESS_TOKEN_FILE"), "`file` of the token to show, instead of the one that heirpress login keeps (HEIRPRESS_TOKEN_FILE)")
	f.BoolVar(&a.options.Plaintext, "plaintext", false, "speak without TLS to a --server that is not this machine")
	f.DurationVar(&a.options.Wait, "wait", 10*time.Second, "the `time` to wait while another heirpress has your registry open")
	f.BoolVar(&a.json, "json", false, "print JSON Lines: one object a line")
	f.StringVar(&a.units, "units", orElse(os.Getenv("HEIRPRESS_UNITS"), "us"), "the `system` that measures are shown in: us or metric (HEIRPRESS_UNITS)")
	f.StringVar(&a.currency, "currency", orElse(os.Getenv("HEIRPRESS_CURRENCY"), "USD"), "the `currency`, by its three letters, of prices that name none (HEIRPRESS_CURRENCY)")
	root.PersistentPreRunE = func(c *cobra.Command, _ []string) error { return a.checkShared(c) }
}

func (a *app) checkShared(c *cobra.Command) error {
	if a.units != "us" && a.units != "metric" {
		return wrongUsage(c, fmt.Sprintf("--units is %q: say us or metric", a.units))
	}
	if a.options.Wait <= 0 {
		return wrongUsage(c, fmt.Sprintf("--wait is %v: say how long, as 10s", a.options.Wait))
	}
	if a.options.CAFile != "" && a.options.Plaintext {
		return wrongUsage(c, "--ca asks for TLS and --plaintext for none: give one of the two")
	}
	a.currency = strings.ToUpper(a.currency)
	if _, err := trade.ParseMoney("1", a.currency); err != nil {
		return wrongUsage(c, "--currency: "+err.Error())
	}
	return nil
}

func orElse(text, usual string) string {
	if text == "" {
		return usual
	}
	return text
}

func (a *app) unitSystem() trade.Units {
	if a.units == "metric" {
		return trade.Metric
	}
	return trade.US
}

// with runs a task on a connection to the registry.
func (a *app) with(ctx context.Context, task func(*client.Client) error) (err error) {
	c, err := client.Connect(ctx, a.options)
	if err != nil {
		return err
	}
	defer func() {
		if shut := c.Close(); err == nil {
			err = shut
		}
	}()
	return task(c)
}
