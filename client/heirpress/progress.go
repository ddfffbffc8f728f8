package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"
)

// patience is how long something may take before its progress is shown.
const patience = time.Second

// progress returns a function that shows how far a sheet has come, on a
// terminal that can write over a line; elsewhere nil, for a bar in a file helps
// nobody.
func (a *app) progress(what string, total int) func(done int) {
	if !onTerminal(a.notes) {
		return nil
	}
	return counter(a.notes, what, total, time.Now().Add(patience))
}

// onTerminal tells whether what is written there stands on a terminal that can do
// more than write line after line.
func onTerminal(to io.Writer) bool {
	file, ok := to.(*os.File)
	return ok && os.Getenv("TERM") != "dumb" && term.IsTerminal(int(file.Fd()))
}

// counter counts on one line, from a moment on.
func counter(to io.Writer, what string, total int, from time.Time) func(done int) {
	return func(done int) {
		if time.Now().Before(from) {
			return
		}
		fmt.Fprintf(to, "\r%s: %d of %d lots", what, done, total)
		if done == total {
			fmt.Fprintln(to)
		}
	}
}
