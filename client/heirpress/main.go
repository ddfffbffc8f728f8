// Command heirpress finds a letterpress shop its next home: it posts shops,
// finds lots, scores wanted lists and tells what has turned up, on a registry
// of the user's own or on a shared one.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
