// Package telemetry tells an operator's tools how a registry does: numbers for
// Prometheus, traces for OpenTelemetry, and whether it is ready, over HTTP.
//
// The numbers, all beginning with heirpress_, and in the units of their names:
//
//	journal_change, index_change      the last change written, and the last indexed
//	index_behind_changes              the difference
//	matcher_behind_changes            changes the matcher has still to look at
//	matcher_here, ready               1 or 0
//	shops, lots                       how many there are
//	outbox_alerts, dispatches_open, dead_letters   what waits to be delivered, counted up to 10,000
//	calls_total{method,code}, call_seconds{method}         gRPC
//	store_failures_total{op}, store_seconds{op}            the store
//	up                                0 if the registry could not be asked for its numbers
//
// and those of the Go runtime and the process.
package telemetry
