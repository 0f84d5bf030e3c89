package main

import (
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/spf13/pflag"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/serve/metrics"
	"netagauge/internal/work/worker"
)

// watching are the flags of how whoever runs the machine is told how it does.
type watching struct {
	metrics string
	logJSON bool
}

func (o *watching) flags(f *pflag.FlagSet) {
	f.StringVar(&o.metrics, "metrics", "", "address, such as 127.0.0.1:9464, at which Prometheus may read numbers (/metrics); nothing else is there, and nobody is asked who reads")
	f.BoolVar(&o.logJSON, "log-json", false, "write the log as JSON, a line each")
}

// quietly logs what somebody should know, and not how well all goes.
func (o *watching) quietly(to *command.Caller) *slog.Logger {
	if !o.logJSON {
		return to.Quietly()
	}
	return slog.New(slog.NewJSONHandler(to.Err, &slog.HandlerOptions{Level: slog.LevelWarn}))
}

// numbers count what happens to a kitchen, or at each site of several.
func (k served) numbers() *metrics.Numbers {
	if k.group == nil {
		return metrics.New(false, metrics.Alone(k.folder.Oldest))
	}
	return metrics.New(true, k.group.place.waiting)
}

// giveNumbers gives out the numbers at an address of their own, if one is named.
func giveNumbers(at string, n *metrics.Numbers, logged *slog.Logger) (end func(), err error) {
	if at == "" {
		return func() {}, nil
	}
	l, err := net.Listen("tcp", at)
	if err != nil {
		return nil, phrase.Because(err, "use-listen")
	}
	m := http.NewServeMux()
	m.Handle("GET /metrics", n.Handler())
	h := &http.Server{Handler: m, ReadHeaderTimeout: 5 * time.Second, WriteTimeout: 15 * time.Second, ErrorLog: slog.NewLogLogger(logged.Handler(), slog.LevelWarn)}
	go h.Serve(l)
	return func() { h.Close() }, nil
}

// countedPool measures photos, and tells how it does.
func countedPool(workers int, n *metrics.Numbers, log *slog.Logger) *worker.Pool {
	return worker.NewPool(worker.Options{Workers: workers, Killed: n.Killed, Ended: func(site, code string, took time.Duration) { n.At(site).Ended(code, took) },
		Lacking: func(what string) {
			log.Warn("photos are measured with a weaker sandbox than a newer kernel gives", "lacking", what)
		}})
}
