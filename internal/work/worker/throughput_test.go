package worker

import (
	"bytes"
	"fmt"
	"os"
	"testing"
	"time"

	"netagauge/internal/keep/intake"
)

// Two servers and two processes that measure one photo at a time beside one process that
// measures two: how many trays in the same time. For people to read, judged by nobody:
// it means something on a quiet machine. Each twice in turn, the better of each counts.
func TestSharedThroughput(t *testing.T) {
	if os.Getenv(longEnv) == "" {
		t.Skip(longEnv + "=1 compares throughputs")
	}
	alone, shared := 0.0, 0.0
	for range 2 {
		alone, shared = max(alone, throughputAlone(t)), max(shared, throughputShared(t))
	}
	t.Logf("%.3f trays a second by one process, %.3f by two servers and two workers: ratio %.2f", alone, shared, shared/alone)
}

// throughputTrays is how many are measured each time.
const throughputTrays = 16

func throughputAlone(t *testing.T) float64 {
	f := folder4test(t)
	for i := range throughputTrays {
		send(t, f, fmt.Sprint(i), told(), padded(sample(t, "tray-laid.jpg"), i))
	}
	runFor(t, f, pool4test(t, measuring, Options{Workers: 2}))
	return pace(t, f)
}

func throughputShared(t *testing.T) float64 {
	t.Setenv(sortEnv, measuring)
	x := newSite4test(t)
	at, err := openPlace(t.Context(), x.postgres.URL(), x.photos)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(at.close)
	f, err := at.site(t.Context(), testSite)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.SetSession(t.Context(), intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: time.Now(), Ticket: told()}); err != nil {
		t.Fatal(err)
	}
	x.begin(0)
	x.begin(1)
	p := &phones{proxy: x.proxy, stop: make(chan struct{})}
	for i := range throughputTrays {
		p.send("?name="+fmt.Sprint(i), bytes.Clone(padded(sample(t, "tray-laid.jpg"), i)))
	}
	x.begin(2)
	x.begin(3)
	rate := pace(t, f)
	for i := range x.running {
		x.kill(i) // or they would take from the next
	}
	return rate
}

// pace is how many trays are measured in a second, from the second on: the first ones
// start the workers.
func pace(t *testing.T, f *intake.Folder) float64 {
	t.Helper()
	var began time.Time
	first := 0
	for {
		n, err := f.Waiting(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if done := throughputTrays - n; done >= 2 && began.IsZero() {
			began, first = time.Now(), done
		}
		if n == 0 {
			return float64(throughputTrays-first) / time.Since(began).Seconds()
		}
		time.Sleep(10 * time.Millisecond)
	}
}
