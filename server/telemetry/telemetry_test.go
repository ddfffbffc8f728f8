package telemetry_test

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"
	collector "go.opentelemetry.io/proto/otlp/collector/trace/v1"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"

	dto "github.com/prometheus/client_model/go"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/telemetry"
)

// registry is a registry that is served, with its metrics.
func registry(t *testing.T, m *telemetry.Metrics, options ...grpc.ServerOption) (*server.Registry, *grpc.ClientConn) {
	t.Helper()
	r, err := server.Open(t.Context(), server.Config{Dir: t.TempDir(), Observer: m})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ready, ended := make(chan string, 1), make(chan error, 1)
	go func() {
		ended <- server.Serve(ctx, r, server.ServeConfig{Listen: "127.0.0.1:0", Options: options, Ready: func(a net.Addr) { ready <- a.String() }})
	}()
	conn, err := grpc.NewClient(<-ready, grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		conn.Close()
		cancel()
		if err := errors.Join(<-ended, r.Close()); err != nil {
			t.Error(err)
		}
	})
	return r, conn
}

// scrape reads the metrics as Prometheus does, with its own parser.
func scrape(t *testing.T, pages http.Handler) (map[string]*dto.MetricFamily, string) {
	t.Helper()
	got := get(pages, "/metrics")
	parser := expfmt.NewTextParser(model.UTF8Validation)
	families, err := parser.TextToMetricFamilies(strings.NewReader(got.Body.String()))
	if err != nil {
		t.Fatal(err)
	}
	return families, got.Body.String()
}

func get(pages http.Handler, path string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	pages.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w
}

func value(f *dto.MetricFamily) float64 { return f.GetMetric()[0].GetGauge().GetValue() }

// TestMetrics: the numbers are what was done, and Prometheus's own linter has
// nothing to say of their names.
func TestMetrics(t *testing.T) {
	m := telemetry.NewMetrics()
	r, conn := registry(t, m)
	m.Watch(r)
	shops, lots := pb.NewShopServiceClient(conn), pb.NewLotServiceClient(conn)
	shop, err := shops.CreateShop(t.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "A", Place: "Dayton, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	var last uint64
	for _, tag := range []string{"1", "2", "3"} {
		made, err := lots.CreateLot(t.Context(), &pb.CreateLotRequest{Parent: shop.GetShop().GetName(), Lot: &pb.Lot{Tag: tag, Title: "Stone"}})
		if err != nil {
			t.Fatal(err)
		}
		last = made.GetChange()
	}
	if _, err := lots.GetLot(t.Context(), &pb.GetLotRequest{Name: "shops/a/lots/none"}); err == nil {
		t.Error("a lot that is none was found")
	}
	if _, err := pb.NewSearchServiceClient(conn).SearchLots(t.Context(), &pb.SearchLotsRequest{AtLeastChange: last}); err != nil {
		t.Fatal(err)
	}
	if _, err := pb.NewAlertServiceClient(conn).ListAlerts(t.Context(), &pb.ListAlertsRequest{AtLeastChange: last}); err != nil {
		t.Fatal(err)
	}
	families, text := scrape(t, m.Handler(r))
	for name, want := range map[string]float64{
		"up": 1, "ready": 1, "matcher_here": 1, "shops": 1, "lots": 3, "journal_change": float64(last), "index_change": float64(last),
		"index_behind_changes": 0, "matcher_behind_changes": 0, "outbox_alerts": 0, "dispatches_open": 0, "dead_letters": 0,
	} {
		if got := value(families["heirpress_"+name]); got != want {
			t.Errorf("%s is %v, want %v", name, got, want)
		}
	}
	for _, line := range []string{
		`heirpress_calls_total{code="OK",method="heirpress.v1.LotService/CreateLot"} 3`,
		`heirpress_calls_total{code="NotFound",method="heirpress.v1.LotService/GetLot"} 1`,
		`heirpress_call_seconds_count{method="heirpress.v1.LotService/CreateLot"} 3`,
	} {
		if !strings.Contains(text, line+"\n") {
			t.Errorf("there is no line %s", line)
		}
	}
	if n := sampled(families["heirpress_store_seconds"], "op", "write"); n < 4 {
		t.Errorf("%d writes of the store were timed, want at least 4", n)
	}
	if families["heirpress_store_failures_total"] != nil {
		t.Error("that there is no such lot counts as a failure of the store")
	}
	problems, err := promlint.New(strings.NewReader(text)).Lint()
	for _, p := range problems {
		if strings.HasPrefix(p.Metric, "heirpress_") {
			t.Errorf("%s: %s", p.Metric, p.Text)
		}
	}
	if err != nil {
		t.Error(err)
	}
}

// sampled is how many samples a histogram has under a label.
func sampled(f *dto.MetricFamily, label, value string) uint64 {
	for _, m := range f.GetMetric() {
		if slices.ContainsFunc(m.GetLabel(), func(l *dto.LabelPair) bool { return l.GetName() == label && l.GetValue() == value }) {
			return m.GetHistogram().GetSampleCount()
		}
	}
	return 0
}

// stands is a registry of which only the state is known.
type stands struct {
	ready bool
	err   error
}

func (s stands) Ready() bool                                 { return s.ready }
func (s stands) State(context.Context) (server.State, error) { return server.State{}, s.err }

func TestPages(t *testing.T) {
	for _, c := range []struct {
		path string
		of   stands
		code int
		says string
	}{
		{"/livez", stands{}, 200, "alive\n"},
		{"/readyz", stands{ready: true}, 200, "ready\n"},
		{"/readyz", stands{}, 503, "not ready: the index has not caught up with the journal\n"},
		{"/", stands{}, 404, "404 page not found\n"},
	} {
		got := get(telemetry.NewMetrics().Handler(c.of), c.path)
		if got.Code != c.code || got.Body.String() != c.says {
			t.Errorf("%s of %+v: %d %q", c.path, c.of, got.Code, got.Body)
		}
	}
}

// TestMetricsWithoutAnAnswer: a registry that cannot say how it stands is down,
// and what else there is to tell is told.
func TestMetricsWithoutAnAnswer(t *testing.T) {
	m := telemetry.NewMetrics()
	of := stands{err: errors.New("the database is away")}
	m.Watch(of)
	m.Store("write", true, time.Second)
	families, _ := scrape(t, m.Handler(of))
	if value(families["heirpress_up"]) != 0 || families["heirpress_lots"] != nil {
		t.Errorf("up %v, lots %v", families["heirpress_up"], families["heirpress_lots"])
	}
	if families["heirpress_store_failures_total"].GetMetric()[0].GetCounter().GetValue() != 1 || families["go_goroutines"] == nil {
		t.Error("the other metrics are missing")
	}
}

func TestServe(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	log := slog.New(slog.DiscardHandler)
	address, err := telemetry.NewMetrics().Serve(ctx, "127.0.0.1:0", stands{ready: true}, log)
	if err != nil {
		t.Fatal(err)
	}
	got, err := http.Get("http://" + address.String() + "/readyz")
	if err != nil {
		t.Fatal(err)
	}
	body, _ := io.ReadAll(got.Body)
	got.Body.Close()
	if string(body) != "ready\n" {
		t.Errorf("got %q", body)
	}
	if _, err := telemetry.NewMetrics().Serve(ctx, address.String(), stands{}, log); err == nil || !strings.Contains(err.Error(), "--metrics-listen") {
		t.Errorf("a second on the same address: %v", err)
	}
	cancel()
}

// spans is an OpenTelemetry collector that keeps the names of what it is sent.
type spans struct {
	collector.UnimplementedTraceServiceServer
	mu    sync.Mutex
	names map[string]string // span to service
}

func (s *spans) Export(_ context.Context, req *collector.ExportTraceServiceRequest) (*collector.ExportTraceServiceResponse, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, of := range req.GetResourceSpans() {
		service := ""
		for _, a := range of.GetResource().GetAttributes() {
			if a.GetKey() == "service.name" {
				service = a.GetValue().GetStringValue()
			}
		}
		for _, scope := range of.GetScopeSpans() {
			for _, one := range scope.GetSpans() {
				s.names[one.GetName()] = service
			}
		}
	}
	return &collector.ExportTraceServiceResponse{}, nil
}

// TestTrace sends traces to a collector that speaks OTLP by its published proto.
func TestTrace(t *testing.T) {
	got := &spans{names: map[string]string{}}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s := grpc.NewServer()
	collector.RegisterTraceServiceServer(s, got)
	go s.Serve(listener) //nolint:errcheck // ends with Stop
	defer s.Stop()
	t.Setenv("OTEL_EXPORTER_OTLP_ENDPOINT", "http://"+listener.Addr().String())
	option, end, err := telemetry.Trace(t.Context(), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	_, conn := registry(t, telemetry.NewMetrics(), option)
	if _, err := pb.NewShopServiceClient(conn).ListShops(t.Context(), &pb.ListShopsRequest{}); err != nil {
		t.Fatal(err)
	}
	if _, err := healthpb.NewHealthClient(conn).Check(t.Context(), &healthpb.HealthCheckRequest{}); err != nil {
		t.Fatal(err)
	}
	if err := end(t.Context()); err != nil {
		t.Fatal(err)
	}
	got.mu.Lock()
	defer got.mu.Unlock()
	if len(got.names) != 1 || got.names["heirpress.v1.ShopService/ListShops"] != "heirpressd" {
		t.Errorf("the collector has %v, want the one call of the ShopService", got.names)
	}
}

func TestTraced(t *testing.T) {
	env := map[string]string{}
	read := func(name string) string { return env[name] }
	if telemetry.Traced(read) {
		t.Error("traced without an endpoint")
	}
	if env["OTEL_EXPORTER_OTLP_TRACES_ENDPOINT"] = "http://a:4317"; !telemetry.Traced(read) {
		t.Error("not traced with an endpoint")
	}
}
