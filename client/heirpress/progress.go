package main

import (
	"fmt"
	"os"

	"golang.org/x/term"
)

// progress returns a function that shows how far a sheet has come, on a
// terminal; elsewhere nil, for a bar in a file helps nobody.
func (a *app) progress(what string, total int) func(done int) {
	file, ok := a.notes.(*os.File)
	if !ok || !term.IsTerminal(int(file.Fd())) {
		return nil
	}
	return func(done int) {
		fmt.Fprintf(file, "\r%s: %d of %d", what, done, total)
		if done == total {
			fmt.Fprintln(file)
		}
	}
}
