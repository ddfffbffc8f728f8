package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"heirpress/server/access"
)

const accountUsage = `heirpressd account create-operator opens an operator's account in the registry, and
gives its token: the way in to a registry that has no account yet, or whose operator
has lost theirs.

  heirpressd account create-operator "Ann Archer" --token-file ann.token
  heirpress login --server registry.example.org:7427 --token-file ann.token

The token is written once, to a new file that only its owner can read, or, without
--token-file, to standard output. A running heirpressd knows it at once.

Flags:
`

// account runs "heirpressd account".
func account(ctx context.Context, args []string, env func(string) string, stdout, stderr io.Writer) error {
	f := flag.NewFlagSet("heirpressd account", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	data := f.String("data", dataDir(), "data `folder` of the registry")
	file := f.String("token-file", "", "the new `file` to write the token to")
	var address string
	storeFlag(f, &address)
	words, err := flagsAndWords(f, args, env, func() { helpWith(accountUsage, f, stdout) })
	if errors.Is(err, flag.ErrHelp) {
		return err
	}
	name, err := operatorName(words, err)
	if err != nil {
		fmt.Fprintf(stderr, "heirpressd: %v\nFor help: heirpressd account --help\n", err)
		return errUsage
	}
	return createOperator(ctx, name, *data, address, *file, stdout, stderr)
}

func operatorName(words []string, wrong error) (string, error) {
	if wrong != nil {
		return "", wrong
	}
	if len(words) != 2 || words[0] != "create-operator" {
		return "", fmt.Errorf("%q is not understood: say create-operator and the operator's name", words)
	}
	name := strings.TrimSpace(words[1])
	if n := utf8.RuneCountInString(name); n == 0 || n > access.LongestDisplayName {
		return "", fmt.Errorf("the operator's name has %d characters: 1 to %d", n, access.LongestDisplayName)
	}
	return name, nil
}

func createOperator(ctx context.Context, name, data, address, file string, stdout, notes io.Writer) (err error) {
	to := stdout
	if file != "" {
		// The file comes first: a token that cannot be written is not made.
		f, err := os.OpenFile(file, os.O_CREATE|os.O_EXCL|os.O_WRONLY, ownerOnly)
		if err != nil {
			return fmt.Errorf("the token cannot be written: %w", err)
		}
		defer func() { err = errors.Join(err, f.Sync(), f.Close()) }()
		to = f
	}
	s, err := openOrMake(ctx, data, address)
	if err != nil {
		return err
	}
	defer s.Close()
	a, secret, err := access.NewOperator(ctx, s, name)
	if err != nil {
		return err
	}
	fmt.Fprintf(notes, "%s is an operator, by the name of %s\n", a.GetDisplayName(), a.GetName())
	_, err = fmt.Fprintln(to, secret)
	return err
}
