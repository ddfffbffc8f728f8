// Command heirpressd serves a registry of letterpress shops over gRPC.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"

	"heirpress/search"
	"heirpress/search/place"
	"heirpress/server"
	"heirpress/server/private"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	err := run(ctx, os.Args[1:], os.Getenv, os.Stdout, os.Stderr)
	switch {
	case errors.Is(err, flag.ErrHelp):
		os.Exit(0)
	case errors.Is(err, errUsage):
		os.Exit(2)
	case errors.Is(err, errWrong):
		os.Exit(1)
	case err != nil:
		fmt.Fprintln(os.Stderr, "heirpressd:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string, env func(string) string, stdout, stderr io.Writer) error {
	if len(args) > 0 {
		switch args[0] {
		case "dead-letters":
			return deadLetters(ctx, args[1:], env, stdout, stderr)
		case "export", "import":
			return carry(ctx, args[0], args[1:], env, stdout, stderr)
		case "backup", "restore":
			return keep(ctx, args[0], args[1:], env, stdout, stderr)
		case "doctor":
			return examine(ctx, args[1:], env, stdout, stderr)
		case "account":
			return account(ctx, args[1:], env, stdout, stderr)
		case "key":
			return key(ctx, args[1:], env, stdout, stderr)
		}
	}
	o, err := parse(args, env, stdout, stderr)
	if err != nil {
		return err
	}
	o.serve.PublicURL = o.sending.mail.PublicURL
	if err := o.serve.Check(o.accounts); err != nil {
		return err
	}
	sending, err := o.sending.config(o.serve.Web)
	if err != nil {
		return err
	}
	if err := o.keys.Check(); err != nil && !errors.Is(err, private.ErrNoKeys) {
		return err
	}
	if err := extendVocabulary(o.vocabulary); err != nil {
		return err
	}
	go place.Prepare() // beside opening the registry
	log := slog.New(o.handler(stderr))
	opening, cancel := context.WithTimeout(ctx, o.wait)
	defer cancel()
	seen := o.observing()
	r, err := server.Open(opening, server.Config{Dir: o.data, Store: o.store, Photos: o.photos, Log: log, Deliver: sending, Routing: o.routing, Observer: seen.observer(), Accounts: o.accounts, Limits: o.limits, Keys: o.keys})
	if err != nil {
		return err
	}
	endSeen, err := seen.begin(ctx, r, &o.serve, env, log, stdout)
	if err != nil {
		return errors.Join(err, r.Close())
	}
	defer endSeen()
	o.serve.Ready = func(a net.Addr) { fmt.Fprintln(stdout, "heirpressd is listening on", a) }
	o.serve.WebReady = func(a net.Addr) { fmt.Fprintln(stdout, "heirpressd has its pages on", a) }
	err = server.Serve(ctx, r, o.serve)
	return errors.Join(err, r.Close())
}

// extendVocabulary reads an operator's own rules, if there are any.
func extendVocabulary(path string) error {
	if path == "" {
		return nil
	}
	rules, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("the vocabulary cannot be read: %w", err)
	}
	if err := search.ExtendVocabulary(string(rules)); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}

// dataDir is where an operator's registry lives if nobody says otherwise.
func dataDir() string {
	if home, err := os.UserHomeDir(); err == nil {
		return filepath.Join(home, ".heirpressd")
	}
	return "heirpressd-data"
}
