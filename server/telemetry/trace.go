package telemetry

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"

	"go.opentelemetry.io/contrib/instrumentation/google.golang.org/grpc/otelgrpc"
	"go.opentelemetry.io/otel"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracegrpc"
	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/sdk/resource"
	"go.opentelemetry.io/otel/sdk/trace"
	"google.golang.org/grpc"
	"google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/stats"
)

// endpointVariables are those by which OpenTelemetry says where traces go; see
// https://opentelemetry.io/docs/specs/otel/protocol/exporter/.
var endpointVariables = []string{"OTEL_EXPORTER_OTLP_ENDPOINT", "OTEL_EXPORTER_OTLP_TRACES_ENDPOINT"}

// Traced tells whether the environment says where traces go.
func Traced(env func(string) string) bool {
	for _, name := range endpointVariables {
		if env(name) != "" {
			return true
		}
	}
	return false
}

// Trace sends a trace of every call to the OTLP endpoint, over gRPC, that the
// environment names; OTEL_TRACES_SAMPLER and its like are heeded. The option goes
// to the gRPC server; end sends what is left.
func Trace(ctx context.Context, log *slog.Logger) (option grpc.ServerOption, end func(context.Context) error, err error) {
	exporter, err := otlptracegrpc.New(ctx)
	if err != nil {
		return nil, nil, fmt.Errorf("traces cannot be sent: %w", err)
	}
	about, err := resource.New(ctx, resource.WithFromEnv(), resource.WithHost(), resource.WithProcessPID(), resource.WithAttributes(serviceName()...))
	if err != nil && !errors.Is(err, resource.ErrPartialResource) {
		return nil, nil, fmt.Errorf("traces cannot be sent: %w", err)
	}
	provider := trace.NewTracerProvider(trace.WithBatcher(exporter), trace.WithResource(about))
	otel.SetErrorHandler(otel.ErrorHandlerFunc(func(err error) { log.Warn("traces: not sent", "error", err) }))
	handler := otelgrpc.NewServerHandler(
		otelgrpc.WithTracerProvider(provider),
		otelgrpc.WithPropagators(propagation.NewCompositeTextMapPropagator(propagation.TraceContext{}, propagation.Baggage{})),
		otelgrpc.WithFilter(notHealth),
	)
	return grpc.StatsHandler(handler), provider.Shutdown, nil
}

// serviceName is heirpressd, unless the environment has another name.
func serviceName() []attribute.KeyValue {
	if os.Getenv("OTEL_SERVICE_NAME") != "" {
		return nil
	}
	return []attribute.KeyValue{attribute.String("service.name", "heirpressd")}
}

// notHealth leaves out health checks: there are many, and nothing in them.
func notHealth(info *stats.RPCTagInfo) bool {
	return info.FullMethodName != grpc_health_v1.Health_Check_FullMethodName &&
		info.FullMethodName != grpc_health_v1.Health_Watch_FullMethodName
}
