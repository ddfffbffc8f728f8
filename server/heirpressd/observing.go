package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"time"

	"heirpress/server"
	"heirpress/server/telemetry"
)

// observing is what a call says of metrics and traces.
type observing struct {
	address string
	metrics *telemetry.Metrics // nil without an address
}

func (o *options) observing() *observing {
	if o.metrics == "" {
		return &observing{}
	}
	return &observing{address: o.metrics, metrics: telemetry.NewMetrics()}
}

func (o *observing) observer() server.Observer {
	if o.metrics == nil {
		return nil // not a nil of its type
	}
	return o.metrics
}

// lastTraces is how long the traces that are left may take to be sent.
const lastTraces = 2 * time.Second

// begin serves the metrics and sends traces, as far as they were asked for, until
// the function that it returns is called.
func (o *observing) begin(ctx context.Context, r *server.Registry, c *server.ServeConfig, env func(string) string, log *slog.Logger, stdout io.Writer) (func(), error) {
	ctx, cancel := context.WithCancel(ctx)
	if o.metrics != nil {
		o.metrics.Watch(r)
		address, err := o.metrics.Serve(ctx, o.address, r, log)
		if err != nil {
			cancel()
			return nil, err
		}
		fmt.Fprintln(stdout, "heirpressd has its metrics on", address)
	}
	if !telemetry.Traced(env) {
		return cancel, nil
	}
	option, end, err := telemetry.Trace(ctx, log)
	if err != nil {
		cancel()
		return nil, err
	}
	c.Options = append(c.Options, option)
	return func() {
		cancel()
		last, stop := context.WithTimeout(context.Background(), lastTraces)
		defer stop()
		if err := end(last); err != nil {
			log.Warn("traces: the last were not sent", "error", err)
		}
	}, nil
}
