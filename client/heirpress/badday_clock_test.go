package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"net"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"heirpress/server"
)

// clockProgram is the name under which this test program is a heirpressd whose
// clock is off by what a file says.
const clockProgram = "heirpressd-with-clock"

// clockDaemon is that heirpressd.
func clockDaemon() {
	data, store := flag.String("data", "", ""), flag.String("store", "", "")
	listen, file := flag.String("listen", "", ""), flag.String("clock", "", "")
	flag.String("log-level", "", "")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	r, err := server.Open(ctx, server.Config{Dir: *data, Store: *store, Clock: func() time.Time { return time.Now().Add(clockOff(*file)) }})
	if err == nil {
		err = server.Serve(ctx, r, server.ServeConfig{Listen: *listen, Ready: func(a net.Addr) { fmt.Println("heirpressd is listening on", a) }})
		err = errors.Join(err, r.Close())
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func clockOff(file string) time.Duration {
	text, err := os.ReadFile(file)
	if err != nil {
		return 0
	}
	off, _ := time.ParseDuration(string(text)) // 0 while it is being written
	return off
}

// clock is the file of a daemon's clock.
type clock string

func newClock(t *testing.T) clock { return clock(filepath.Join(t.TempDir(), "clock")) }

func (c clock) program() []string { return []string{clockProgram} }

// jump sets the clock forward and back, and right again.
func (c clock) jump(t *testing.T) {
	for _, off := range []string{"2h", "-2h", "15m", "0s"} {
		if err := os.WriteFile(string(c), []byte(off), 0o600); err != nil {
			t.Fatal(err)
		}
		time.Sleep(150 * time.Millisecond)
	}
}
