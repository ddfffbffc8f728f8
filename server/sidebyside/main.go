// Command sidebyside measures heirpress beside SQLite and PostgreSQL on the same
// million lots and the same searches.
//
//	go run ./server/sidebyside                       # a million lots, all three
//	go run ./server/sidebyside -lots 20000           # a quick look
//	go run ./server/sidebyside -keep /var/tmp/side   # load once, measure often
//	go run ./server/sidebyside -without postgres -only "two words,prefix"
//
// The table goes to stdout as Markdown, ratios first; what is going on is told on
// stderr. Ctrl-C ends every process it has started, and removes the data unless
// it is kept.
//
// What is measured:
//
//   - heirpress is the real heirpressd, built from this source and run as a
//     process of its own on a data folder of its own. Lots are posted and searched
//     through gRPC over loopback TCP.
//   - SQLite is FTS5, an R*Tree and the indexes that the searches want, in a file,
//     in this process: no wire lies between, which is in its favour. It is the
//     build without C that heirpress keeps its records in; SQLite in C may well be
//     quicker, which is not measured here.
//   - PostgreSQL is a private cluster on a Unix socket, with PostGIS, a GIN index
//     over a tsvector, GiST indexes for distance, and pg_trgm for slips; pgx keeps
//     the statements prepared. It needs Debian's postgresql and
//     postgresql-15-postgis-3, or the like. As root it runs as nobody: PostgreSQL
//     refuses root.
//
// All three hold the same lots, as heirpress lists them, and the same tokens, as
// package search reads them; so all must find the same. Each answers with the
// total and with twenty hits, name and stored lot. One client asks one search
// after the other. The first searches of a family warm up, and are held against
// each other; those measured are others, each asked once.
//
// It runs on Linux: it reads what a process uses from /proc.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	o, err := parse(os.Args[1:], os.Stderr)
	if err == nil {
		err = run(ctx, o, os.Stdout)
	}
	switch {
	case errors.Is(err, flag.ErrHelp):
	case errors.Is(err, errUsage):
		os.Exit(2)
	case err != nil:
		fmt.Fprintln(os.Stderr, "sidebyside:", err)
		os.Exit(1)
	}
}
