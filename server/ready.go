package server

import (
	"context"
	"time"

	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
)

// Ready tells whether the index has caught up with the journal: it has all that
// the journal had when the registry was opened, is not damaged, and has not
// stayed behind since.
func (r *Registry) Ready() bool {
	return r.closing.Err() == nil && r.index.Healthy() && r.index.Change() >= r.floor && !r.stuck.Load()
}

const (
	readyLook  = 50 * time.Millisecond // between looks at whether the index is ready
	behindLook = time.Second           // between looks at how far the journal has come
	behindMost = 10 * time.Second      // that the index may need for what it is behind
)

// watchIndex notices when the index stays behind the journal. While the store
// does not answer it tells nothing new: no other daemon would know more.
func (r *Registry) watchIndex(ctx context.Context) {
	var goal uint64
	since := time.Now()
	for every := time.NewTicker(behindLook); ; {
		select {
		case <-ctx.Done():
			every.Stop()
			return
		case <-every.C:
		}
		if r.index.Change() < goal {
			r.stuck.Store(time.Since(since) > behindMost)
			continue
		}
		r.stuck.Store(false)
		if head, err := r.store.Head(ctx); err == nil {
			goal, since = head, time.Now()
		}
	}
}

// tellHealth keeps the health service up to date until ctx is done.
func (r *Registry) tellHealth(ctx context.Context, h *health.Server) {
	told := healthOf(r.Ready())
	h.SetServingStatus("", told)
	go func() {
		for every := time.NewTicker(readyLook); ; {
			select {
			case <-ctx.Done():
				every.Stop()
				return
			case <-every.C:
			}
			if now := healthOf(r.Ready()); now != told {
				told = now
				h.SetServingStatus("", now)
				r.log.Info("registry: readiness", "ready", now == healthpb.HealthCheckResponse_SERVING, "change", r.index.Change())
			}
		}
	}()
}

func healthOf(ready bool) healthpb.HealthCheckResponse_ServingStatus {
	if ready {
		return healthpb.HealthCheckResponse_SERVING
	}
	return healthpb.HealthCheckResponse_NOT_SERVING
}
