package metrics

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus/testutil"
	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"

	"netagauge/internal/core/fatal"
)

func waiting(context.Context) (int, time.Time, error) { return 3, time.Now().Add(-time.Minute), nil }

// What is counted comes out under its name, with the labels of closed sets alone, and
// Prometheus' own checks of names and helps find nothing.
func TestNumbers(t *testing.T) {
	n := New(false, Alone(waiting))
	n.Ended("", 1200*time.Millisecond)
	n.Ended("no-mat", 700*time.Millisecond)
	n.Killed("slow")
	n.Received(2_000_000)
	n.Received(1_000_000)
	mux := http.NewServeMux()
	mux.HandleFunc("GET /shots/{id}", func(w http.ResponseWriter, r *http.Request) {
		if err := http.NewResponseController(w).SetWriteDeadline(time.Now().Add(time.Minute)); err != nil && !errors.Is(err, http.ErrNotSupported) {
			t.Error(err)
		}
		w.WriteHeader(http.StatusNotFound)
	})
	for _, path := range []string{"/shots/secretid?name=Aoi", "/elsewhere"} {
		n.Requests(mux).ServeHTTP(httptest.NewRecorder(), httptest.NewRequest("GET", path, nil))
	}
	want := `# HELP netagauge_photos_ended_total Photos by how they ended: measured, or the code of why not.
# TYPE netagauge_photos_ended_total counter
netagauge_photos_ended_total{code="measured"} 1
netagauge_photos_ended_total{code="no-mat"} 1
# HELP netagauge_photos_received_bytes_total Bytes of the photos that were taken in.
# TYPE netagauge_photos_received_bytes_total counter
netagauge_photos_received_bytes_total 3e+06
# HELP netagauge_photos_received_total Photos that were taken in.
# TYPE netagauge_photos_received_total counter
netagauge_photos_received_total 2
# HELP netagauge_queue_photos Photos that wait or are being measured.
# TYPE netagauge_queue_photos gauge
netagauge_queue_photos 3
# HELP netagauge_workers_killed_total Worker processes that stopped, or were ended because they took too long.
# TYPE netagauge_workers_killed_total counter
netagauge_workers_killed_total{why="slow"} 1
`
	if err := testutil.GatherAndCompare(n.registry, strings.NewReader(want), "netagauge_photos_ended_total", "netagauge_photos_received_bytes_total",
		"netagauge_photos_received_total", "netagauge_queue_photos", "netagauge_workers_killed_total"); err != nil {
		t.Error(err)
	}
	if problems, err := testutil.GatherAndLint(n.registry); err != nil || len(problems) > 0 {
		t.Errorf("%v, %v", problems, err)
	}
	got := httptest.NewRecorder()
	n.Handler().ServeHTTP(got, httptest.NewRequest("GET", "/metrics", nil))
	body := got.Body.String()
	for _, part := range []string{`route="GET /shots/{id}",status="4xx"`, `route="none",status="4xx"`, "netagauge_photo_seconds_sum 1.9", "netagauge_queue_oldest_seconds 60"} {
		if !strings.Contains(body, part) {
			t.Errorf("lacks %s", part)
		}
	}
	for _, part := range []string{"secretid", "Aoi", "elsewhere"} {
		if strings.Contains(body, part) {
			t.Errorf("tells %s", part)
		}
	}
}

// With several sites every number but those of the machine says which, as Prometheus' own
// parser reads them.
func TestSites(t *testing.T) {
	n := New(true, func(context.Context) ([]Waiting, error) {
		return []Waiting{{"north", 3, time.Now().Add(-time.Minute)}, {"south", 0, time.Time{}}}, nil
	})
	north, south := n.At("north"), n.At("south")
	north.Received(7)
	north.Ended("", time.Second)
	south.Ended("no-mat", 2*time.Second)
	n.Killed("slow")
	for _, of := range []*Numbers{n, north} {
		of.Requests(http.NotFoundHandler()).ServeHTTP(httptest.NewRecorder(), httptest.NewRequest("GET", "/", nil))
	}
	got := httptest.NewRecorder()
	n.Handler().ServeHTTP(got, httptest.NewRequest("GET", "/metrics", nil))
	parser := expfmt.NewTextParser(model.UTF8Validation)
	all, err := parser.TextToMetricFamilies(got.Body)
	fatal.If(t, err)
	for _, want := range []struct {
		name, labels string
		value        float64
	}{
		{"netagauge_queue_photos", "site=north", 3}, {"netagauge_queue_photos", "site=south", 0}, {"netagauge_queue_oldest_seconds", "site=north", 60},
		{"netagauge_photos_received_total", "site=north", 1}, {"netagauge_photos_received_total", "site=south", 0}, {"netagauge_photos_received_bytes_total", "site=north", 7},
		{"netagauge_photos_ended_total", "code=measured site=north", 1}, {"netagauge_photos_ended_total", "code=no-mat site=south", 1},
		{"netagauge_photo_seconds", "site=north", 1}, {"netagauge_photo_seconds", "site=south", 1}, {"netagauge_workers_killed_total", "why=slow", 1},
		{"netagauge_http_request_seconds", "route=none site= status=4xx", 1}, {"netagauge_http_request_seconds", "route=none site=north status=4xx", 1},
	} {
		found := false
		for _, m := range all[want.name].GetMetric() {
			var labels []string
			for _, l := range m.GetLabel() {
				labels = append(labels, l.GetName()+"="+l.GetValue())
			}
			if strings.Join(labels, " ") == want.labels {
				found = true
				if v := m.GetGauge().GetValue() + m.GetCounter().GetValue() + float64(m.GetHistogram().GetSampleCount()); math.Abs(v-want.value) > 1 || want.value < 10 && v != want.value {
					t.Errorf("%s of %s is %g, want %g", want.name, want.labels, v, want.value)
				}
			}
		}
		if !found {
			t.Errorf("no %s of %s: %v", want.name, want.labels, all[want.name])
		}
	}
	if problems, err := testutil.GatherAndLint(n.registry); err != nil || len(problems) > 0 {
		t.Errorf("%v, %v", problems, err)
	}
	if nobody := (*Numbers)(nil).At("north"); nobody != nil {
		t.Error("somebody counts where nobody did")
	}
}

// A record that is out of reach is no queue of none.
func TestQueueOutOfReach(t *testing.T) {
	n := New(false, Alone(func(context.Context) (int, time.Time, error) { return 0, time.Time{}, errors.New("gone") }))
	if _, err := n.registry.Gather(); err == nil {
		t.Error("told as if none waited")
	}
	if n, err := testutil.GatherAndCount(New(false, Alone(func(context.Context) (int, time.Time, error) { return 0, time.Time{}, nil })).registry, "netagauge_queue_oldest_seconds"); n != 1 || err != nil {
		t.Error(n, err)
	}
}

// A line names its request and its site, in either form.
func TestLog(t *testing.T) {
	var b bytes.Buffer
	l := Log(&b, true, "north")
	ctx, id := Request(t.Context())
	l.ErrorContext(ctx, "page", "err", errors.New("full"))
	var line map[string]any
	fatal.If(t, json.Unmarshal(b.Bytes(), &line))
	if line["request"] != id || line["site"] != "north" || line["err"] != "full" || line["level"] != "ERROR" || len(id) != 12 {
		t.Errorf("%v", line)
	}
	b.Reset()
	Log(&b, false, "").With("a", 1).InfoContext(ctx, "page")
	if s := b.String(); !strings.Contains(s, "msg=page a=1 request="+id) {
		t.Error(s)
	}
}
