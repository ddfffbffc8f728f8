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
)

// errUsage says that the words of the call were wrong, and that this was told.
var errUsage = errors.New("wrong usage")

// options are what a call sets. Each has an environment variable beneath it:
// --tls-cert is HEIRPRESSD_TLS_CERT.
type options struct {
	data  string
	level slog.Level
	json  bool
	serve server.ServeConfig
}

const usage = `heirpressd serves a registry of letterpress shops over gRPC.

  heirpressd                                  on 127.0.0.1:7427, data in ~/.heirpressd
  heirpressd --listen [::1]:7427 --data /srv/heirpress
  heirpressd --tls-cert cert.pem --tls-key key.pem

Every flag can also be set in the environment: --tls-cert is HEIRPRESSD_TLS_CERT.
SIGINT or SIGTERM stops it in order. Exit status: 0 stopped, 1 failed, 2 wrong usage.

Flags:
`

func parse(args []string, env func(string) string, stderr io.Writer) (*options, error) {
	o := new(options)
	flags := o.flags(stderr)
	if err := fromEnvironment(flags, env); err != nil {
		fmt.Fprintln(stderr, "heirpressd:", err)
		return nil, errUsage
	}
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return nil, err
		}
		return nil, errUsage
	}
	if flags.NArg() > 0 {
		fmt.Fprintf(stderr, "heirpressd: %q is not understood: heirpressd takes flags only; see --help\n", flags.Arg(0))
		return nil, errUsage
	}
	return o, nil
}

func (o *options) flags(stderr io.Writer) *flag.FlagSet {
	f := flag.NewFlagSet("heirpressd", flag.ContinueOnError)
	f.SetOutput(stderr)
	f.Usage = func() {
		fmt.Fprint(stderr, usage)
		f.PrintDefaults()
	}
	f.StringVar(&o.data, "data", dataDir(), "data `folder`, made if it is not there")
	f.StringVar(&o.serve.Listen, "listen", "127.0.0.1:7427", "`address` to listen on; this machine only")
	f.StringVar(&o.serve.CertFile, "tls-cert", "", "TLS certificate, a PEM `file`")
	f.StringVar(&o.serve.KeyFile, "tls-key", "", "the certificate's key, a PEM `file`")
	f.BoolVar(&o.serve.Plaintext, "plaintext", false, "allow an address beyond this machine without TLS")
	f.DurationVar(&o.serve.Grace, "grace", 10*time.Second, "how long calls under way may take after a stop")
	f.TextVar(&o.level, "log-level", slog.LevelInfo, "least `level` to log: debug, info, warn or error")
	f.BoolVar(&o.json, "log-json", false, "log as JSON, a line each")
	return f
}

func fromEnvironment(f *flag.FlagSet, env func(string) string) (err error) {
	f.VisitAll(func(one *flag.Flag) {
		name := "HEIRPRESSD_" + strings.ToUpper(strings.ReplaceAll(one.Name, "-", "_"))
		value := env(name)
		if value == "" || err != nil {
			return
		}
		if bad := f.Set(one.Name, value); bad != nil {
			err = fmt.Errorf("%s is %q: %w", name, value, bad)
		}
	})
	return err
}

func (o *options) handler(to io.Writer) slog.Handler {
	options := &slog.HandlerOptions{Level: o.level}
	if o.json {
		return slog.NewJSONHandler(to, options)
	}
	return slog.NewTextHandler(to, options)
}
