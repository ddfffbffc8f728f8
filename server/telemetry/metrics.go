package telemetry

import (
	"context"
	"strings"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"google.golang.org/grpc/codes"

	"heirpress/server"
)

const namespace = "heirpress"

// Metrics count what a registry does. It is a server.Observer.
type Metrics struct {
	registry   *prometheus.Registry
	calls      *prometheus.CounterVec
	callTimes  *prometheus.HistogramVec
	storeFails *prometheus.CounterVec
	storeTimes *prometheus.HistogramVec
}

var _ server.Observer = (*Metrics)(nil)

// callBuckets are the upper ends, in seconds, of classes of calls: what is usual
// takes one to ten milliseconds, and a call may take a minute.
var callBuckets = []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 60}

// storeBuckets are those of the store: a read takes tens of microseconds.
var storeBuckets = []float64{.00005, .0001, .00025, .0005, .001, .0025, .005, .01, .025, .05, .1, .25, 1, 5}

// NewMetrics returns metrics that have counted nothing.
func NewMetrics() *Metrics {
	m := &Metrics{
		registry: prometheus.NewRegistry(),
		calls: prometheus.NewCounterVec(prometheus.CounterOpts{Namespace: namespace, Name: "calls_total",
			Help: "Calls that have ended, by method and gRPC code."}, []string{"method", "code"}),
		callTimes: prometheus.NewHistogramVec(prometheus.HistogramOpts{Namespace: namespace, Name: "call_seconds",
			Help: "How long calls took; a stream takes as long as its reader stays.", Buckets: callBuckets}, []string{"method"}),
		storeFails: prometheus.NewCounterVec(prometheus.CounterOpts{Namespace: namespace, Name: "store_failures_total",
			Help: "Calls of the store that failed."}, []string{"op"}),
		storeTimes: prometheus.NewHistogramVec(prometheus.HistogramOpts{Namespace: namespace, Name: "store_seconds",
			Help: "How long calls of the store took.", Buckets: storeBuckets}, []string{"op"}),
	}
	m.registry.MustRegister(m.calls, m.callTimes, m.storeFails, m.storeTimes,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

// Call is server.Observer's.
func (m *Metrics) Call(method string, code codes.Code, took time.Duration) {
	method = strings.TrimPrefix(method, "/")
	m.calls.WithLabelValues(method, code.String()).Inc()
	m.callTimes.WithLabelValues(method).Observe(took.Seconds())
}

// Store is server.Observer's.
func (m *Metrics) Store(op string, failed bool, took time.Duration) {
	m.storeTimes.WithLabelValues(op).Observe(took.Seconds())
	if failed {
		m.storeFails.WithLabelValues(op).Inc()
	}
}

// stateTime is how long a registry is waited for when it is asked for its state.
const stateTime = 5 * time.Second

// gauge is a number of a registry's state.
type gauge struct {
	desc *prometheus.Desc
	of   func(server.State) float64
}

func newGauge(name, help string, of func(server.State) float64) gauge {
	return gauge{prometheus.NewDesc(prometheus.BuildFQName(namespace, "", name), help, nil, nil), of}
}

var gauges = []gauge{
	newGauge("journal_change", "The last change number of the journal.", func(s server.State) float64 { return float64(s.Head) }),
	newGauge("index_change", "The change number that this daemon's index has reached.", func(s server.State) float64 { return float64(s.Index) }),
	newGauge("index_behind_changes", "How many changes the index is behind the journal.", func(s server.State) float64 { return float64(s.Head - min(s.Head, s.Index)) }),
	newGauge("matcher_behind_changes", "How many changes the matcher, here or elsewhere, has still to look at.", func(s server.State) float64 { return float64(s.MatcherBehind) }),
	newGauge("matcher_here", "1 if the matcher runs in this daemon.", func(s server.State) float64 { return oneIf(s.Matching) }),
	newGauge("ready", "1 if the index has caught up with the journal.", func(s server.State) float64 { return oneIf(s.Ready) }),
	newGauge("shops", "How many shops there are.", func(s server.State) float64 { return float64(s.Shops) }),
	newGauge("lots", "How many lots the index has.", func(s server.State) float64 { return float64(s.Lots) }),
	newGauge("outbox_alerts", "Alerts that wait to be packed, counted up to 10000.", func(s server.State) float64 { return float64(s.Waiting.Outbox) }),
	newGauge("dispatches_open", "E-mails and webhooks that wait to be sent, counted up to 10000.", func(s server.State) float64 { return float64(s.Waiting.Dispatches) }),
	newGauge("dead_letters", "E-mails and webhooks that were given up.", func(s server.State) float64 { return float64(s.Waiting.DeadLetters) }),
}

func oneIf(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

var up = prometheus.NewDesc(namespace+"_up", "0 if the registry could not be asked for its numbers.", nil, nil)

// Stateful is what has a state to tell: a registry.
type Stateful interface {
	State(context.Context) (server.State, error)
	Ready() bool
}

// Watch adds the state of a registry, asked for at every scrape.
func (m *Metrics) Watch(r Stateful) { m.registry.MustRegister(stateCollector{r}) }

type stateCollector struct{ of Stateful }

// Describe is prometheus.Collector's.
func (c stateCollector) Describe(to chan<- *prometheus.Desc) {
	to <- up
	for _, g := range gauges {
		to <- g.desc
	}
}

// Collect is prometheus.Collector's.
func (c stateCollector) Collect(to chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), stateTime)
	defer cancel()
	state, err := c.of.State(ctx)
	to <- prometheus.MustNewConstMetric(up, prometheus.GaugeValue, oneIf(err == nil))
	if err != nil {
		return
	}
	for _, g := range gauges {
		to <- prometheus.MustNewConstMetric(g.desc, prometheus.GaugeValue, g.of(state))
	}
}
