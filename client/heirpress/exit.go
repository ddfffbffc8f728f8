package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
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

// usageError is a command line, or a file that it names, that cannot be
// understood: nothing was done.
type usageError struct{ message string }

func (e *usageError) Error() string { return e.message }

// wrongUsage says what is wrong with a call, and where its help is.
func wrongUsage(c *cobra.Command, message string) error {
	return &usageError{message: message + "\nFor help: " + c.CommandPath() + " --help"}
}

// errNothing says that a search ended well and found nothing; what there was to
// say has been said.
var errNothing = errors.New("nothing found")

// errTold says that the work failed in part, and that this has been told.
var errTold = errors.New("not all was done")

// inFile says what is wrong with a file, or with what was done with it.
type inFile struct {
	path string
	err  error
}

func (e *inFile) Error() string { return e.path + ": " + client.Explain(e.err) }

func (e *inFile) Unwrap() error { return e.err }

// unreadable is an error of reading a file: a file that is not there has
// failed, one that cannot be understood is wrong usage.
func unreadable(path string, err error) error {
	if broken := new(fs.PathError); errors.As(err, &broken) {
		return &inFile{path, broken.Err}
	}
	return &usageError{message: err.Error()}
}

// settle tells an error and returns the exit status it stands for.
func (a *app) settle(err error) int {
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errNothing):
		return exitNothing
	case errors.Is(err, errTold), errors.Is(err, context.Canceled), client.Code(err) == codes.Canceled:
		return exitFailed
	}
	a.note("%s", explain(err))
	switch {
	case isUsage(err):
		return exitUsage
	case isNothing(err):
		return exitNothing
	}
	return exitFailed
}

func explain(err error) string {
	if in := new(inFile); errors.As(err, &in) {
		return in.Error()
	}
	return client.Explain(err)
}

// isUsage tells whether the words of the call would have to be others.
func isUsage(err error) bool {
	var usage *usageError
	var several *client.SeveralError
	var wants *client.SeveralWantsError
	var address *client.AddressError
	return errors.As(err, &usage) || errors.As(err, &several) || errors.As(err, &wants) || errors.As(err, &address) ||
		client.Code(err) == codes.InvalidArgument
}

// isNothing tells whether an error says that there is no such thing.
func isNothing(err error) bool {
	var nothing *client.NotFoundError
	var noWant *client.NoWantError
	return errors.As(err, &nothing) || errors.As(err, &noWant) || client.Code(err) == codes.NotFound
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
	c.SuggestionsMinimumDistance = 2
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
