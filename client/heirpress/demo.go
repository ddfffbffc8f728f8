package main

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/testdata/demo"
)

func (a *app) demo() *cobra.Command {
	return &cobra.Command{
		Use:   "demo",
		Short: "the whole story on an embedded registry, in under a minute",
		Long: `Tell the whole story with an invented shop: post it, find a press within driving
range, score it against a wanted list, lodge a want, post a lot that turns up late,
and see the alert arrive. Every command is printed and then really run, on a
registry of its own in a folder that is removed afterwards.`,
		Args: noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			if a.json {
				return wrongUsage(c, "demo tells its story in words: leave out --json")
			}
			return a.tell(c.Context())
		},
	}
}

// A scene of the demo: what is going on, and the command that does it.
type scene struct {
	say  string
	args []string
}

var story = []scene{
	{"A printer in Dayton is giving up her shop. A friend has made a list of it. First, the list goes in.",
		[]string{"post", "marrowby.yaml"}},
	{"Two more shops are looking for a home: a basement in Michigan, and a firm in Leeds.",
		[]string{"post", "tolliver.csv", "--shop", "The Tolliver basement", "--place", "Grand Rapids, MI", "--clear-by", "2027-02-28"}},
	{"", []string{"post", "skerrow.yaml"}},
	{"Somebody in Columbus asks for a platen within driving range.",
		[]string{"find", "platen", "--near", "Columbus, OH", "--within", "300mi", "--limit", "3"}},
	{"Two poster printers in Pittsburgh have a wanted list. Which offers suit it, and why?",
		[]string{"score", "poster-shop.yaml", "--explain", "--limit", "1"}},
	{"They lodge it, so that they need not ask again.",
		[]string{"want", "poster-shop.yaml"}},
	{"Of what is there already they hear at once. They read it and put it away.",
		[]string{"alerts", "--limit", "3"}},
	{"", []string{"alerts", "ack", "all"}},
	{"A week later two more things are found in Dayton. They are posted to the same shop.",
		[]string{"post", "late-lot.yaml"}},
	{"And the alert arrives.",
		[]string{"alerts"}},
	{"The lot itself.",
		[]string{"show", "W9"}},
}

// tell plays the story.
func (a *app) tell(ctx context.Context) error {
	dir, err := os.MkdirTemp("", "heirpress-demo-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if err := unpack(demo.FS, dir); err != nil {
		return err
	}
	for _, s := range story {
		if s.say != "" {
			a.printf("\n%s\n", s.say)
		}
		a.printf("\n$ heirpress %s\n", typed(s.args))
		if err := a.play(ctx, dir, s.args); err != nil {
			return err
		}
	}
	a.printf("\nThat is the whole of it. To begin with a shop of your own: heirpress post SHEET\n")
	return nil
}

// play runs one command of the story on the demo's own registry.
func (a *app) play(ctx context.Context, dir string, args []string) error {
	inside := make([]string, len(args))
	for i, arg := range args {
		inside[i] = arg
		if _, err := fs.Stat(demo.FS, arg); err == nil {
			inside[i] = filepath.Join(dir, arg)
		}
	}
	inside = append(inside, "--data", filepath.Join(dir, "data"), "--server", "", "--units", a.units)
	if code := run(ctx, inside, a.out, a.notes); code != exitDone {
		return fmt.Errorf("the demo stopped: heirpress %s ended with status %d", typed(args), code)
	}
	return nil
}

// typed is a command line as it is typed at a prompt.
func typed(args []string) string {
	words := make([]string, len(args))
	for i, arg := range args {
		words[i] = arg
		if strings.ContainsAny(arg, " ,&'()") {
			words[i] = `"` + arg + `"`
		}
	}
	return strings.Join(words, " ")
}

func unpack(from fs.FS, dir string) error {
	return fs.WalkDir(from, ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		body, err := fs.ReadFile(from, path)
		if err != nil {
			return err
		}
		return os.WriteFile(filepath.Join(dir, path), body, 0o600)
	})
}
