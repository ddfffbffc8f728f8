package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc/codes"

	"heirpress/client"
)

// The exit statuses.
const (
	exitDone    = 0
	exitFailed  = 1
	exitUsage   = 2
	exitNothing = 3
)

// usageError is a command line that cannot be carried out as it is.
type usageError struct{ message string }

func (e *usageError) Error() string { return e.message }

// wrongUsage says what is wrong with a call, and where its help is.
func wrongUsage(c *cobra.Command, message string) error {
	return &usageError{message: message + "\nsee " + c.CommandPath() + " --help"}
}

// errNothing says that a search ended well and found nothing; what there was to
// say has been said.
var errNothing = errors.New("nothing found")

// errTold says that the work failed in part, and that this has been told.
var errTold = errors.New("not all was done")

// settle tells an error and returns the exit status it stands for.
func (a *app) settle(err error) int {
	var usage *usageError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errNothing):
		return exitNothing
	case errors.Is(err, errTold):
		return exitFailed
	case errors.Is(err, context.Canceled):
		return exitFailed
	case errors.As(err, &usage), strings.HasPrefix(err.Error(), "unknown command"):
		a.note("%s", err)
		return exitUsage
	}
	a.note("%s", client.Explain(err))
	if client.Code(err) == codes.InvalidArgument {
		return exitUsage
	}
	return exitFailed
}

// note tells a person something that is not the answer.
func (a *app) note(format string, args ...any) {
	fmt.Fprintf(a.notes, format+"\n", args...)
}

// noWords accepts no argument.
func noWords(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	if c.HasSubCommands() {
		return wrongUsage(c, unknownCommand(c, args[0]))
	}
	return wrongUsage(c, fmt.Sprintf("%s takes no more words, and %q is one", c.Name(), args[0]))
}

func unknownCommand(c *cobra.Command, word string) string {
	message := fmt.Sprintf("there is no command %q", word)
	if near := c.SuggestionsFor(word); len(near) > 0 {
		message += ": did you mean " + strings.Join(near, " or ") + "?"
	}
	return message
}

// words accepts least to most arguments; what names them in the message.
func words(least, most int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) >= least && (most < 0 || len(args) <= most) {
			return nil
		}
		return wrongUsage(c, fmt.Sprintf("%s needs %s", c.Name(), what))
	}
}
