package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"heirpress/server"
	"heirpress/server/store"
	"heirpress/server/store/transfer"
)

const carryUsage = `heirpressd export writes a whole registry to a file of JSON Lines; import takes it
over into another store, of whichever engine.

  heirpressd export --data /srv/heirpress registry.jsonl
  heirpressd import --store postgres://heirpress@db.example:5432/heirpress registry.jsonl

A registry can be exported while it is served. It is imported before a heirpressd
is first started on the new store. An import that was cut off is taken up by the same
call again. Without FILE, or with -, it is the standard output or input.

Flags:
`

// carry runs "heirpressd export" and "heirpressd import".
func carry(ctx context.Context, task string, args []string, env func(string) string, stdout, stderr io.Writer) error {
	c, err := fileTask{name: task, usage: carryUsage, takes: func(words []string) bool { return len(words) <= 1 }}.read(args, env, stdout, stderr)
	switch {
	case err != nil:
		return err
	case task == "export":
		return exportTo(ctx, c.file, c.data, c.address, stdout, stderr)
	}
	return importFrom(ctx, c.file, c.data, c.address, stderr)
}

// openThere opens a store that must be there already.
func openThere(ctx context.Context, data, address string) (store.Movable, error) {
	if address == "" {
		if _, err := os.Stat(server.File(data)); err != nil {
			return nil, fmt.Errorf("there is no registry in %s: name its folder with --data", data)
		}
	}
	return server.OpenStore(ctx, data, address)
}

// openOrMake opens a store, and makes its data folder if need be.
func openOrMake(ctx context.Context, data, address string) (store.Movable, error) {
	if address == "" {
		if err := os.MkdirAll(data, 0o700); err != nil {
			return nil, err
		}
	}
	return server.OpenStore(ctx, data, address)
}

func exportTo(ctx context.Context, file, data, address string, stdout, notes io.Writer) error {
	s, err := openThere(ctx, data, address)
	if err != nil {
		return err
	}
	defer s.Close()
	to, done, err := create(file, stdout)
	if err != nil {
		return err
	}
	head, err := transfer.Export(ctx, s, to)
	if err := errors.Join(err, done(err == nil)); err != nil {
		return err
	}
	fmt.Fprintf(notes, "%d changes exported\n", head)
	return nil
}

// ownerOnly is the mode of an export: it holds addresses, and the key of tokens.
const ownerOnly = 0o600

// create makes a file, which gets its name only when it is whole and on disk.
func create(file string, stdout io.Writer) (to io.Writer, done func(whole bool) error, err error) {
	if file == "" || file == "-" {
		return stdout, func(bool) error { return nil }, nil
	}
	part := file + ".part"
	f, err := os.OpenFile(part, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, ownerOnly)
	return f, func(whole bool) error {
		if !whole {
			return errors.Join(f.Close(), os.Remove(part))
		}
		if err := errors.Join(f.Sync(), f.Close()); err != nil {
			return err
		}
		return os.Rename(part, file)
	}, err
}

func importFrom(ctx context.Context, file, data, address string, notes io.Writer) (err error) {
	from := os.Stdin
	if file != "" && file != "-" {
		if from, err = os.Open(file); err != nil {
			return err
		}
		defer from.Close()
	}
	s, err := openOrMake(ctx, data, address)
	if err != nil {
		return err
	}
	defer s.Close()
	taken, err := transfer.Import(ctx, from, s)
	fmt.Fprintf(notes, "%d changes imported; %d were there\n", taken.New, taken.Had)
	return err
}
