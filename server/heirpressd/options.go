package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"strings"
	"time"

	"heirpress/server"
	"heirpress/server/private"
	"heirpress/server/routing"
	"heirpress/server/store/postgres"
)

// errUsage says that the words of the call were wrong, and that this was told.
var errUsage = errors.New("wrong usage")

// options are what a call sets. Each has an environment variable beneath it:
// --tls-cert is HEIRPRESSD_TLS_CERT.
type options struct {
	data string
	// store is the address of a database that daemons share, or empty. It may
	// hold a password, and is never printed.
	store string
	// photos is the URL of the blob store that photos are in, or empty.
	photos string
	wait   time.Duration
	// vocabulary is a file of the operator's own rules for words.
	vocabulary string
	level      slog.Level
	json       bool
	// routing is the operator's routing service, or nil.
	routing *routing.Service
	serve   server.ServeConfig
	sending sending
	// metrics is the address of the pages for an operator's tools, or empty.
	metrics  string
	accounts server.Accounts
	limits   server.Limits
	keys     private.Keys
}

const usage = `heirpressd serves a registry of letterpress shops over gRPC.

  heirpressd                                  on 127.0.0.1:7427, data in ~/.heirpressd
  heirpressd --listen [::1]:7427 --data /srv/heirpress
  heirpressd --tls-cert cert.pem --tls-key key.pem
  heirpressd --web 127.0.0.1:8080 --pages     with pages for browsers, on this machine
  heirpressd --smtp mail.example.org:587 --mail-from alerts@example.org --web :8080 --public-url https://example.org
  heirpressd account create-operator NAME     the first account, and its token
  heirpressd --accounts invited --tls-cert cert.pem --tls-key key.pem --listen :7427
  heirpressd key new --private-keys FILE      a key to keep private addresses under
  heirpressd dead-letters                     what could not be delivered
  heirpressd doctor                           whether all is well
  heirpressd backup FILE; heirpressd restore FILE      keep a registry in one file, and put it back
  heirpressd export FILE; heirpressd import FILE       carry a registry to another store
  PGPASSFILE=/etc/heirpress/pgpass heirpressd --store postgres://heirpress@db.example:5432/heirpress

Every flag can also be set in the environment: --tls-cert is HEIRPRESSD_TLS_CERT.
With OTEL_EXPORTER_OTLP_ENDPOINT set, a trace of every call is sent there.
SIGINT or SIGTERM stops it in order. Exit status: 0 stopped, 1 failed, 2 wrong usage.

Flags:
`

// parse reads a call. Help that was asked for goes to stdout.
func parse(args []string, env func(string) string, stdout, stderr io.Writer) (*options, error) {
	o := new(options)
	flags := o.flags()
	err := readFlags(flags, usage, args, env, stdout)
	if errors.Is(err, flag.ErrHelp) {
		return nil, err
	}
	if err == nil && flags.NArg() > 0 {
		err = stray(flags.Arg(0))
	}
	if err == nil && (!(o.limits.PerSecond > 0) || o.limits.Burst <= 0) {
		err = errors.New("--calls-per-second and --burst must be more than 0")
	}
	if err != nil {
		fmt.Fprintf(stderr, "heirpressd: %v\nFor help: heirpressd --help\n", err)
		return nil, errUsage
	}
	return o, nil
}

// stray tells of a word that is no flag. An address may hold a password, and is
// not repeated.
func stray(word string) error {
	if postgres.IsAddress(word) {
		return errors.New("an address stands alone: write --store before it")
	}
	return fmt.Errorf("%q is not understood: heirpressd takes flags only, or account, key, dead-letters, doctor, backup, restore, export or import", word)
}

func helpWith(usage string, f *flag.FlagSet, to io.Writer) {
	fmt.Fprint(to, usage)
	f.VisitAll(func(one *flag.Flag) {
		name, says := flag.UnquoteUsage(one)
		fmt.Fprintf(to, "  %s\n        %s\n", strings.TrimSpace("--"+one.Name+" "+name), says+usual(one))
	})
}

// usual is a flag's usual value, if there is anything to say of it.
func usual(one *flag.Flag) string {
	if one.DefValue == "" || one.DefValue == "false" {
		return ""
	}
	return "; usually " + one.DefValue
}

func (o *options) flags() *flag.FlagSet {
	f := flag.NewFlagSet("heirpressd", flag.ContinueOnError)
	f.SetOutput(io.Discard) // parse tells what is wrong, once
	f.StringVar(&o.data, "data", dataDir(), "data `folder`, made if it is not there")
	storeFlag(f, &o.store)
	f.StringVar(&o.photos, "photos", "", "`URL` of the blob store that photos are kept in, as file:///srv/photos or s3://BUCKET; without it, a folder in the data folder. Daemons that share a --store need one that they share")
	f.DurationVar(&o.wait, "wait", 10*time.Second, "how `long` to wait while another process has the data folder open")
	f.StringVar(&o.vocabulary, "vocabulary", "", "a `file` of your own makers and abbreviations, written as search/vocabulary.txt is")
	f.StringVar(&o.serve.Listen, "listen", "127.0.0.1:7427", "`address` to listen on; this machine only, unless there are accounts and TLS")
	f.StringVar(&o.serve.CertFile, "tls-cert", "", "TLS certificate, a PEM `file`")
	f.StringVar(&o.serve.KeyFile, "tls-key", "", "the certificate's key, a PEM `file`")
	f.StringVar(&o.serve.ClientCAFile, "tls-client-ca", "", "PEM `file` of authorities; nobody connects without a certificate that one of them has signed")
	f.Func("accounts", "`how` people come to have accounts: invited by the operator, or open to whom the operator approves; without it there are none, and whoever can reach the registry has everything in it", o.setAccounts)
	f.Float64Var(&o.limits.PerSecond, "calls-per-second", 50, "the `number` of calls that an account, or an address without a token, may go on making in a second, where there are accounts")
	f.IntVar(&o.limits.Burst, "burst", 500, "the `number` of calls at once, after a pause")
	f.BoolVar(&o.serve.Plaintext, "plaintext", false, "allow an address beyond this machine without TLS")
	f.DurationVar(&o.serve.Grace, "grace", 10*time.Second, "how `long` calls under way may take after a stop")
	f.StringVar(&o.serve.Web, "web", "", "`address` of the pages on which e-mail is turned off and proofs are passed, as :8080; usually there are none")
	f.BoolVar(&o.serve.Pages, "pages", false, "serve the registry at --web as pages too, for people without a terminal; to this machine only, unless there are accounts and TLS")
	f.Func("routing-url", "`URL` of your own routing service, with {fromLng}, {fromLat}, {toLng} and {toLat} in it, that answers with routes[0].distance in metres; usually ways are estimated", func(template string) (err error) {
		o.routing, err = routing.New(template)
		return err
	})
	f.StringVar(&o.metrics, "metrics-listen", "", "`address` of /metrics for Prometheus, /readyz and /livez, as 127.0.0.1:9427; usually there is none")
	keysFlag(f, &o.keys)
	o.sending.flags(f)
	f.TextVar(&o.level, "log-level", slog.LevelInfo, "least `level` to log: debug, info, warn or error")
	f.BoolVar(&o.json, "log-json", false, "log as JSON, a line each")
	return f
}

func (o *options) setAccounts(text string) error {
	switch a := server.Accounts(text); a {
	case server.ByInvitation, server.ByApproval:
		o.accounts = a
		return nil
	}
	return errors.New("say invited or open")
}

func storeFlag(f *flag.FlagSet, to *string) {
	f.StringVar(to, "store", "", "`address` of a PostgreSQL database that daemons share, postgres://USER@HOST/NAME; without it, an SQLite file in the data folder")
}

// readFlags reads flags from the environment, and from a call, which goes before.
// Help that was asked for goes to stdout.
func readFlags(f *flag.FlagSet, usage string, args []string, env func(string) string, stdout io.Writer) error {
	err := fromEnvironment(f, env)
	if err == nil {
		err = f.Parse(args)
	}
	if errors.Is(err, flag.ErrHelp) {
		helpWith(usage, f, stdout)
	}
	return err
}

func fromEnvironment(f *flag.FlagSet, env func(string) string) (err error) {
	f.VisitAll(func(one *flag.Flag) {
		name := "HEIRPRESSD_" + strings.ToUpper(strings.ReplaceAll(one.Name, "-", "_"))
		value := env(name)
		if value == "" || err != nil {
			return
		}
		if bad := f.Set(one.Name, value); bad != nil {
			_, says := flag.UnquoteUsage(one)
			err = fmt.Errorf("%s is %q: it says %s", name, value, says)
		}
	})
	return err
}

// flagsAndWords takes the flags out of a call, wherever they stand. Help that is
// asked for is given.
func flagsAndWords(f *flag.FlagSet, args []string, env func(string) string, help func()) (words []string, err error) {
	if err := fromEnvironment(f, env); err != nil {
		return nil, err
	}
	for {
		if err := f.Parse(args); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				help()
			}
			return nil, err
		}
		if f.NArg() == 0 {
			return words, nil
		}
		words, args = append(words, f.Arg(0)), f.Args()[1:]
	}
}

func (o *options) handler(to io.Writer) slog.Handler {
	options := &slog.HandlerOptions{Level: o.level}
	if o.json {
		return server.LogRequests(slog.NewJSONHandler(to, options))
	}
	return server.LogRequests(slog.NewTextHandler(to, options))
}
