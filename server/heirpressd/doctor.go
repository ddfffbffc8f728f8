package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"

	"heirpress/server/doctor"
)

const doctorUsage = `heirpressd doctor looks at everything that a registry needs to go on: its data folder,
disk, TLS certificate, store, clock, index, matcher and deliveries. It reads the whole
store, changes nothing, and can look while the registry is served. Give it the flags,
or the environment, of the heirpressd it is to look after; the others it passes over.

  heirpressd doctor --data /srv/heirpress --tls-cert cert.pem --tls-key key.pem

Each line begins with what is thought of it: fine, look (it goes on, and somebody
should look), or WRONG (something has to be done). Exit status: 0 nothing is wrong,
1 something is, 2 wrong usage.

Flags:
`

// errWrong says that the doctor has found something wrong, and told it.
var errWrong = errors.New("something is wrong")

// examine runs "heirpressd doctor".
func examine(ctx context.Context, args []string, env func(string) string, stdout, stderr io.Writer) error {
	o := new(options)
	flags := o.flags()
	err := readFlags(flags, doctorUsage, args, env, stdout)
	if errors.Is(err, flag.ErrHelp) {
		return err
	}
	if err == nil && flags.NArg() > 0 {
		err = fmt.Errorf("%q is not understood: doctor takes flags only", flags.Arg(0))
	}
	if err != nil {
		fmt.Fprintf(stderr, "heirpressd: %v\nFor help: heirpressd doctor --help\n", err)
		return errUsage
	}
	worst := doctor.Examine(ctx, doctor.Config{Dir: o.data, Store: o.store, CertFile: o.serve.CertFile, KeyFile: o.serve.KeyFile},
		func(f doctor.Finding) { fmt.Fprintf(stdout, "%-5s  %s: %s\n", f.Verdict, f.About, f.Says) })
	if worst == doctor.Wrong {
		return errWrong
	}
	return nil
}
