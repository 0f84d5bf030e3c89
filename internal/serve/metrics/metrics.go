// Package metrics tells whoever runs the machine how it does: numbers for Prometheus, at
// an address of their own, and log lines that name the request they belong to. Labels
// are of closed sets: routes, codes, states; never a person, a class or a photo.
package metrics

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Numbers are counted from the start of the process. Those of At count for one site.
type Numbers struct {
	*counted
	site []string // value of the label, where there is one
}

type counted struct {
	bySite   bool
	registry *prometheus.Registry
	photo    *prometheus.HistogramVec
	ended    *prometheus.CounterVec
	killed   *prometheus.CounterVec
	received *prometheus.CounterVec
	bytes    *prometheus.CounterVec
	request  *prometheus.HistogramVec
}

// seconds are the bounds that photos and requests are sorted into: a photo takes one to
// three, a page some thousandths.
var (
	photoSeconds   = []float64{0.25, 0.5, 1, 1.5, 2, 3, 5, 8, 15, 30, 90}
	requestSeconds = []float64{0.005, 0.02, 0.05, 0.1, 0.3, 1, 3, 10, 60}
)

// Waiting is what waits at a site: how many photos, and when the oldest came, zero for
// none.
type Waiting struct {
	Site   string
	Photos int
	Oldest time.Time
}

// Queue tells what waits, of each site where there are several.
type Queue func(context.Context) ([]Waiting, error)

// Alone is the queue of a kitchen by itself.
func Alone(look func(context.Context) (waiting int, oldest time.Time, err error)) Queue {
	return func(ctx context.Context) ([]Waiting, error) {
		n, oldest, err := look(ctx)
		return []Waiting{{Photos: n, Oldest: oldest}}, err
	}
}

// New begins to count. With several sites the numbers have a label that says which.
func New(bySite bool, q Queue) *Numbers {
	var site []string
	if bySite {
		site = []string{"site"}
	}
	counter := func(name, help string, labels ...string) *prometheus.CounterVec {
		return prometheus.NewCounterVec(prometheus.CounterOpts{Name: name, Help: help}, labels)
	}
	c := &counted{
		bySite:   bySite,
		registry: prometheus.NewRegistry(),
		photo:    prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "netagauge_photo_seconds", Help: "Time that measuring a photo took, by the clock.", Buckets: photoSeconds}, site),
		ended:    counter("netagauge_photos_ended_total", "Photos by how they ended: measured, or the code of why not.", append(site, "code")...),
		killed:   counter("netagauge_workers_killed_total", "Worker processes that stopped, or were ended because they took too long.", "why"),
		received: counter("netagauge_photos_received_total", "Photos that were taken in.", site...),
		bytes:    counter("netagauge_photos_received_bytes_total", "Bytes of the photos that were taken in.", site...),
		request:  prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "netagauge_http_request_seconds", Help: "Time that requests took, by route and status.", Buckets: requestSeconds}, append(site, "route", "status")),
	}
	c.registry.MustRegister(c.photo, c.ended, c.killed, c.received, c.bytes, c.request, newQueue(q, site),
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	if bySite {
		return &Numbers{c, []string{""}} // of none
	}
	n := &Numbers{counted: c}
	n.begin()
	return n
}

// At counts for a site. Nobody counting, nobody does there.
func (n *Numbers) At(site string) *Numbers {
	if n == nil || !n.bySite {
		return n
	}
	at := &Numbers{n.counted, []string{site}}
	at.begin()
	return at
}

// begin has the numbers told from 0 on.
func (n *Numbers) begin() {
	n.photo.WithLabelValues(n.site...)
	n.received.WithLabelValues(n.site...)
	n.bytes.WithLabelValues(n.site...)
}

func (n *Numbers) labels(more ...string) []string { return append(slices.Clone(n.site), more...) }

// Ended counts a photo that was measured, or why not by its code.
func (n *Numbers) Ended(code string, took time.Duration) {
	if code == "" {
		code = "measured"
	}
	n.photo.WithLabelValues(n.site...).Observe(took.Seconds())
	n.ended.WithLabelValues(n.labels(code)...).Inc()
}

// Killed counts a worker process that ended before its time.
func (n *Numbers) Killed(why string) { n.killed.WithLabelValues(why).Inc() }

// Received counts a photo that was taken in.
func (n *Numbers) Received(bytes int64) {
	n.received.WithLabelValues(n.site...).Inc()
	n.bytes.WithLabelValues(n.site...).Add(float64(bytes))
}

// Requests counts what next answers, by the pattern of the route, never by the address.
func (n *Numbers) Requests(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began, seen := time.Now(), &status{ResponseWriter: w, code: http.StatusOK}
		next.ServeHTTP(seen, r)
		route := r.Pattern
		if route == "" {
			route = "none"
		}
		n.request.WithLabelValues(n.labels(route, strconv.Itoa(seen.code/100)+"xx")...).Observe(time.Since(began).Seconds())
	})
}

// status remembers what was answered.
type status struct {
	http.ResponseWriter
	code int
}

func (s *status) WriteHeader(code int) {
	s.code = code
	s.ResponseWriter.WriteHeader(code)
}

// Unwrap lets http.ResponseController set deadlines.
func (s *status) Unwrap() http.ResponseWriter { return s.ResponseWriter }

// Handler gives the numbers out.
func (n *Numbers) Handler() http.Handler {
	return promhttp.HandlerFor(n.registry, promhttp.HandlerOpts{Timeout: 5 * time.Second})
}

// queue looks at what waits when it is asked.
type queue struct {
	look            Queue
	site            []string // label, where there is one
	waiting, oldest *prometheus.Desc
}

func newQueue(look Queue, site []string) queue {
	return queue{look, site,
		prometheus.NewDesc("netagauge_queue_photos", "Photos that wait or are being measured.", site, nil),
		prometheus.NewDesc("netagauge_queue_oldest_seconds", "Age of the oldest of them; 0 where none waits.", site, nil)}
}

func (q queue) Describe(to chan<- *prometheus.Desc) { to <- q.waiting; to <- q.oldest }

// lookLong is how long the record may take to say what waits.
const lookLong = 2 * time.Second

func (q queue) Collect(to chan<- prometheus.Metric) {
	ctx, stop := context.WithTimeout(context.Background(), lookLong)
	defer stop()
	all, err := q.look(ctx)
	if err != nil {
		to <- prometheus.NewInvalidMetric(q.waiting, err)
		return
	}
	for _, w := range all {
		age := 0.0
		if w.Photos > 0 && !w.Oldest.IsZero() {
			age = max(0, time.Since(w.Oldest).Seconds())
		}
		label := []string{w.Site}[:len(q.site)]
		to <- prometheus.MustNewConstMetric(q.waiting, prometheus.GaugeValue, float64(w.Photos), label...)
		to <- prometheus.MustNewConstMetric(q.oldest, prometheus.GaugeValue, age, label...)
	}
}
