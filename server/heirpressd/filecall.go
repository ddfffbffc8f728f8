package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
)

// fileCall is a call about one registry and one file.
type fileCall struct{ file, data, address string }

// fileTask is what such a call is to do.
type fileTask struct {
	name, usage string
	// takes tells whether words, after the flags, are a file for it.
	takes func(words []string) bool
}

// read reads a call. Help that was asked for goes to stdout, and what is wrong to
// stderr.
func (t fileTask) read(args []string, env func(string) string, stdout, stderr io.Writer) (c fileCall, err error) {
	f := flag.NewFlagSet("heirpressd "+t.name, flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.StringVar(&c.data, "data", dataDir(), "data `folder` of the registry")
	storeFlag(f, &c.address)
	if err = readFlags(f, t.usage, args, env, stdout); errors.Is(err, flag.ErrHelp) {
		return c, err
	}
	if err == nil && !t.takes(f.Args()) {
		err = errors.New("name one file, after the flags")
	}
	if err != nil {
		fmt.Fprintf(stderr, "heirpressd: %v\nFor help: heirpressd %s --help\n", err, t.name)
		return c, errUsage
	}
	c.file = f.Arg(0)
	return c, nil
}
