package main

import (
	"encoding/json"
	"net"
	"net/http"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"

	"netagauge/internal/core/fatal"
)

// A worker on a computer of its own tells by site what waits, how photos ended and what
// it cannot measure, as numbers and as lines of JSON. What it measures is in no queue
// before it begins: it looks for that.
func TestWorkIsWatched(t *testing.T) {
	p, _, options := place(t)
	s, f := opened(t, p)
	defer s.Close()
	take(t, f, 1, false) // a photo that is cut short
	forget(t, s)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	fatal.If(t, err)
	at := l.Addr().String()
	l.Close()
	cmd := exec.Command(programFile(t), append([]string{"work", "--workers", "1", "--metrics", at, "--log-json"}, options...)...)
	var said strings.Builder
	cmd.Stderr = &said
	fatal.If(t, cmd.Start())
	ended := 0.0
	for range 3000 { // for a machine much slower than ours
		ended = metric(t, at, "netagauge_photos_ended_total", "site=kitchen")
		if ended > 0 && metric(t, at, "netagauge_queue_photos", "site=kitchen") == 0 {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	if n := metric(t, at, "netagauge_photo_seconds", "site=kitchen"); ended != 1 || n != 1 {
		t.Errorf("%g photos ended, of %g the time is told", ended, n)
	}
	if n := metric(t, at, "netagauge_queue_photos", "site=kitchen"); n != 0 {
		t.Errorf("%g photos wait", n)
	}
	cmd.Process.Signal(syscall.SIGTERM)
	if err := cmd.Wait(); err != nil {
		t.Errorf("it ended with %v", err)
	}
	for line := range strings.Lines(said.String()) {
		var fields map[string]any
		if err := json.Unmarshal([]byte(line), &fields); err != nil || fields["level"] == nil {
			t.Errorf("a line that is no JSON: %s", line)
		}
	}
}

// metric is the sum of a metric's values that have a label, 0 while nothing is told.
func metric(t *testing.T, at, name, label string) (sum float64) {
	t.Helper()
	a, err := http.Get("http://" + at + "/metrics")
	if err != nil {
		return 0 // it has not begun
	}
	defer a.Body.Close()
	parser := expfmt.NewTextParser(model.UTF8Validation)
	all, err := parser.TextToMetricFamilies(a.Body)
	fatal.If(t, err)
	for _, m := range all[name].GetMetric() {
		for _, l := range m.GetLabel() {
			if l.GetName()+"="+l.GetValue() == label {
				sum += m.GetGauge().GetValue() + m.GetCounter().GetValue() + float64(m.GetHistogram().GetSampleCount())
			}
		}
	}
	return sum
}
