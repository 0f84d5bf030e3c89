// Package watch tells whoever runs the machine how it does: numbers for Prometheus, at
// an address of their own, and log lines that name the request they belong to. Labels
// are of closed sets: routes, codes, states; never a person, a class or a photo.
package watch

import (
	"context"
	"net/http"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Numbers are counted from the start of the process.
type Numbers struct {
	registry *prometheus.Registry
	photo    prometheus.Histogram
	ended    *prometheus.CounterVec
	killed   *prometheus.CounterVec
	received prometheus.Counter
	bytes    prometheus.Counter
	request  *prometheus.HistogramVec
}

// seconds are the bounds that photos and requests are sorted into: a photo takes one to
// three, a page some thousandths.
var (
	photoSeconds   = []float64{0.25, 0.5, 1, 1.5, 2, 3, 5, 8, 15, 30, 90}
	requestSeconds = []float64{0.005, 0.02, 0.05, 0.1, 0.3, 1, 3, 10, 60}
)

// Queue is what waits: how many photos, and when the oldest came, zero for none.
type Queue func(context.Context) (waiting int, oldest time.Time, err error)

// New begins to count. site is a label of all numbers where there are several, else
// empty.
func New(site string, q Queue) *Numbers {
	n := &Numbers{
		registry: prometheus.NewRegistry(),
		photo:    prometheus.NewHistogram(prometheus.HistogramOpts{Name: "netagauge_photo_seconds", Help: "Time that measuring a photo took, by the clock.", Buckets: photoSeconds}),
		ended:    prometheus.NewCounterVec(prometheus.CounterOpts{Name: "netagauge_photos_ended_total", Help: "Photos by how they ended: measured, or the code of why not."}, []string{"code"}),
		killed:   prometheus.NewCounterVec(prometheus.CounterOpts{Name: "netagauge_workers_killed_total", Help: "Worker processes that stopped, or were ended because they took too long."}, []string{"why"}),
		received: prometheus.NewCounter(prometheus.CounterOpts{Name: "netagauge_photos_received_total", Help: "Photos that were taken in."}),
		bytes:    prometheus.NewCounter(prometheus.CounterOpts{Name: "netagauge_photos_received_bytes_total", Help: "Bytes of the photos that were taken in."}),
		request:  prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "netagauge_http_request_seconds", Help: "Time that requests took, by route and status.", Buckets: requestSeconds}, []string{"route", "status"}),
	}
	to := prometheus.Registerer(n.registry)
	if site != "" {
		to = prometheus.WrapRegistererWith(prometheus.Labels{"site": site}, to)
	}
	to.MustRegister(n.photo, n.ended, n.killed, n.received, n.bytes, n.request, queue{q}, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return n
}

// Ended counts a photo that was measured, or why not by its code.
func (n *Numbers) Ended(code string, took time.Duration) {
	if code == "" {
		code = "measured"
	}
	n.photo.Observe(took.Seconds())
	n.ended.WithLabelValues(code).Inc()
}

// Killed counts a worker process that ended before its time.
func (n *Numbers) Killed(why string) { n.killed.WithLabelValues(why).Inc() }

// Received counts a photo that was taken in.
func (n *Numbers) Received(bytes int64) {
	n.received.Inc()
	n.bytes.Add(float64(bytes))
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
		n.request.WithLabelValues(route, strconv.Itoa(seen.code/100)+"xx").Observe(time.Since(began).Seconds())
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
type queue struct{ look Queue }

var (
	waitingDesc = prometheus.NewDesc("netagauge_queue_photos", "Photos that wait or are being measured.", nil, nil)
	oldestDesc  = prometheus.NewDesc("netagauge_queue_oldest_seconds", "Age of the oldest of them; 0 where none waits.", nil, nil)
)

func (queue) Describe(to chan<- *prometheus.Desc) { to <- waitingDesc; to <- oldestDesc }

// lookLong is how long the record may take to say what waits.
const lookLong = 2 * time.Second

func (q queue) Collect(to chan<- prometheus.Metric) {
	ctx, stop := context.WithTimeout(context.Background(), lookLong)
	defer stop()
	n, oldest, err := q.look(ctx)
	if err != nil {
		to <- prometheus.NewInvalidMetric(waitingDesc, err)
		return
	}
	age := 0.0
	if n > 0 && !oldest.IsZero() {
		age = max(0, time.Since(oldest).Seconds())
	}
	to <- prometheus.MustNewConstMetric(waitingDesc, prometheus.GaugeValue, float64(n))
	to <- prometheus.MustNewConstMetric(oldestDesc, prometheus.GaugeValue, age)
}
