package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// errUsage says that the call was wrong, and that this was told.
var errUsage = errors.New("wrong usage")

// options are what a call sets.
type options struct {
	lots    int
	seed    uint64
	without []string
	keep    string
	only    []string
	// most and long end the measuring of a family, whichever comes first.
	most int
	long time.Duration
	note func(format string, args ...any)
}

func parse(args []string, stderr io.Writer) (*options, error) {
	o := &options{note: notes(stderr)}
	f := flag.NewFlagSet("sidebyside", flag.ContinueOnError)
	f.SetOutput(stderr)
	f.IntVar(&o.lots, "lots", 1_000_000, "how many lots")
	f.Uint64Var(&o.seed, "seed", 1, "of the lots and the searches")
	f.StringVar(&o.keep, "keep", "", "a `folder` to keep the loaded data in for the next run; usually a temporary one")
	f.IntVar(&o.most, "most", 500, "how many searches of a family to measure, at most")
	f.DurationVar(&o.long, "long", 10*time.Second, "how long to measure a family, at most")
	without := f.String("without", "", "leave out `postgres`, sqlite or both, with a comma between")
	only := f.String("only", "", "measure these `families` alone, with commas between: "+strings.Join(familyNames(), ", "))
	if err := f.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return nil, err
		}
		return nil, errUsage
	}
	o.without, o.only = list(*without), list(*only)
	if err := o.check(f.Args()); err != nil {
		fmt.Fprintln(stderr, "sidebyside:", err)
		return nil, errUsage
	}
	return o, nil
}

func (o *options) check(rest []string) error {
	for _, w := range o.without {
		if w != "postgres" && w != "sqlite" {
			return fmt.Errorf("-without %s: it takes postgres or sqlite", w)
		}
	}
	for _, name := range o.only {
		if !slices.Contains(familyNames(), name) {
			return fmt.Errorf("-only %s: the families are %s", name, strings.Join(familyNames(), ", "))
		}
	}
	switch {
	case len(rest) > 0:
		return fmt.Errorf("%q is not understood: only flags are", rest[0])
	case o.lots < 1_000:
		return fmt.Errorf("-lots %d: at least 1000, or searches find too little to be measured", o.lots)
	case o.most < 1 || o.long <= 0:
		return errors.New("-most and -long must be more than 0")
	}
	return nil
}

// list is the parts of a text with commas between.
func list(text string) []string {
	var parts []string
	for part := range strings.SplitSeq(text, ",") {
		if part = strings.TrimSpace(part); part != "" {
			parts = append(parts, part)
		}
	}
	return parts
}

func (o *options) with(engine string) bool { return !slices.Contains(o.without, engine) }

func (o *options) wants(family string) bool {
	return len(o.only) == 0 || slices.Contains(o.only, family)
}

// notes tells what is going on, and when.
func notes(to io.Writer) func(string, ...any) {
	start := time.Now()
	return func(format string, args ...any) {
		fmt.Fprintf(to, "%7.1fs  %s\n", time.Since(start).Seconds(), fmt.Sprintf(format, args...))
	}
}
