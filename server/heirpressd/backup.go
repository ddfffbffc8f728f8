package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"heirpress/server"
	"heirpress/server/store/backup"
)

const backupUsage = `heirpressd backup keeps a whole registry in one file; restore puts it back.

  heirpressd backup --data /srv/heirpress /srv/backups/monday.backup
  heirpressd restore --data /srv/heirpress-restored /srv/backups/monday.backup
  heirpressd restore --store postgres://heirpress@db.example:5432/new /srv/backups/monday.backup

A backup can be made while the registry is served, and is of one moment. Before it
gets its name it is restored beside it and compared with the registry: there must
be room for that. It holds addresses and keys: keep it as private as the registry,
and on another machine.

A backup is restored only where there is nothing yet, into SQLite or PostgreSQL,
whichever it was made from. A restore that was cut off is taken up by the same call
again; start no heirpressd there before it has ended.

Flags:
`

// keep runs "heirpressd backup" and "heirpressd restore".
func keep(ctx context.Context, task string, args []string, env func(string) string, stdout, stderr io.Writer) error {
	c, err := fileTask{name: task, usage: backupUsage, takes: func(words []string) bool { return len(words) == 1 && words[0] != "-" }}.read(args, env, stdout, stderr)
	switch {
	case err != nil:
		return err
	case task == "backup":
		return backupTo(ctx, c.file, c.data, c.address, stderr)
	}
	return restoreFrom(ctx, c.file, c.data, c.address, stderr)
}

func backupTo(ctx context.Context, file, data, address string, notes io.Writer) error {
	s, err := openThere(ctx, data, address)
	if err != nil {
		return err
	}
	info, err := backup.Save(ctx, s, file)
	if err := errors.Join(err, s.Close()); err != nil {
		return err
	}
	fmt.Fprintf(notes, "%d changes kept in %s; it was restored to prove it, and is whole\n", info.Changes, file)
	return nil
}

func restoreFrom(ctx context.Context, file, data, address string, notes io.Writer) error {
	info, err := server.Restore(ctx, data, address, file)
	if err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	fmt.Fprintf(notes, "%d changes restored, as they were on %s\n", info.Changes, info.Made.Format(time.RFC1123))
	return nil
}
