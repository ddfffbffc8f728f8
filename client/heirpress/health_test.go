package main

import (
	"path/filepath"
	"syscall"
	"testing"

	healthpb "google.golang.org/grpc/health/grpc_health_v1"
)

// TestHealth follows the daemon's health from start to stop.
func TestHealth(t *testing.T) {
	k := &killing{dir: filepath.Join(t.TempDir(), "registry")}
	d := k.start(t)
	defer d.kill()
	health := healthpb.NewHealthClient(d.conn)
	got, err := health.Check(t.Context(), &healthpb.HealthCheckRequest{})
	if err != nil || got.GetStatus() != healthpb.HealthCheckResponse_SERVING {
		t.Fatalf("got %v, %v; want SERVING", got, err)
	}
	watch, err := health.Watch(t.Context(), &healthpb.HealthCheckRequest{})
	if err != nil {
		t.Fatal(err)
	}
	next := func(want healthpb.HealthCheckResponse_ServingStatus) {
		t.Helper()
		if got, err := watch.Recv(); err != nil || got.GetStatus() != want {
			t.Fatalf("got %v, %v; want %v", got, err, want)
		}
	}
	next(healthpb.HealthCheckResponse_SERVING)
	if err := d.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	next(healthpb.HealthCheckResponse_NOT_SERVING)
	d.conn.Close()
	if err := d.cmd.Wait(); err != nil {
		t.Errorf("it ended with %v, want status 0", err)
	}
}
