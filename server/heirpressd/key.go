package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"heirpress/server/private"
)

const keyUsage = `heirpressd key makes and changes the keys under which private addresses are kept.

  heirpressd key new --private-keys /etc/heirpress/keys      a new key, which seals from now on
  heirpressd key reseal --private-keys /etc/heirpress/keys   seal everything with it
  heirpressd key drop --private-keys /etc/heirpress/keys     forget the keys before it

All three can be run while the registry is served: it reads the file for every
address. Where several heirpressd share a store, give each the new file before the
second step, and again after the third. Keep a copy of the file, and keep it apart
from the backups of the registry: without it the addresses are lost, and with it
whoever has a backup reads them. After the third step nobody reads what was sealed
before, in the journal or in old backups: so addresses that were deleted are gone
for good.

Flags:
`

// key runs "heirpressd key".
func key(ctx context.Context, args []string, env func(string) string, stdout, stderr io.Writer) error {
	f := flag.NewFlagSet("heirpressd key", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	data := f.String("data", dataDir(), "data `folder` of the registry")
	var address string
	var keys private.Keys
	storeFlag(f, &address)
	keysFlag(f, &keys)
	words, err := flagsAndWords(f, args, env, func() { helpWith(keyUsage, f, stdout) })
	if errors.Is(err, flag.ErrHelp) {
		return err
	}
	if err == nil {
		err = keyWords(words, keys)
	}
	if err != nil {
		fmt.Fprintf(stderr, "heirpressd: %v\nFor help: heirpressd key --help\n", err)
		return errUsage
	}
	if words[0] == "new" {
		return newKey(keys, stderr)
	}
	return changeKeys(ctx, words[0], keys, *data, address, stderr)
}

func keysFlag(f *flag.FlagSet, to *private.Keys) {
	f.StringVar(&to.File, "private-keys", "", "`file` of the keys that private addresses are kept under; without it none are kept")
}

func keyWords(words []string, keys private.Keys) error {
	if len(words) != 1 || words[0] != "new" && words[0] != "reseal" && words[0] != "drop" {
		return fmt.Errorf("%q is not understood: say new, reseal or drop", strings.Join(words, " "))
	}
	if keys == (private.Keys{}) {
		return errors.New("say in which file the keys are: --private-keys FILE")
	}
	return nil
}

func newKey(keys private.Keys, notes io.Writer) error {
	id, err := keys.NewKey()
	if err == nil {
		fmt.Fprintf(notes, "key %s seals from now on\n", id)
	}
	return err
}

func changeKeys(ctx context.Context, how string, keys private.Keys, data, address string, notes io.Writer) error {
	s, err := openThere(ctx, data, address)
	if err != nil {
		return err
	}
	defer s.Close()
	if how == "reseal" {
		n, err := keys.Reseal(ctx, s)
		fmt.Fprintf(notes, "%d sealed anew\n", n)
		return err
	}
	dropped, err := keys.DropOld(ctx, s)
	if err == nil {
		fmt.Fprintf(notes, "%d dropped: %s\n", len(dropped), strings.Join(dropped, ", "))
	}
	return err
}
