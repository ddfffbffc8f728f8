package main

import (
	"fmt"
	"os"
	"time"

	"golang.org/x/term"
)

const patience = time.Second

// progress returns a function that shows how far a sheet has come, on a
// terminal that can write over a line; elsewhere nil, for a bar in a file helps
// nobody. What is done in a moment shows none.
func (a *app) progress(what string, total int) func(done int) {
	file, ok := a.notes.(*os.File)
	if !ok || os.Getenv("TERM") == "dumb" || !term.IsTerminal(int(file.Fd())) {
		return nil
	}
	begun := time.Now()
	return func(done int) {
		if time.Since(begun) < patience {
			return
		}
		fmt.Fprintf(file, "\r%s: %d of %d lots", what, done, total)
		if done == total {
			fmt.Fprintln(file)
		}
	}
}
