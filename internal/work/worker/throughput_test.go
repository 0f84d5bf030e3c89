package worker

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/intake"
)

// Two servers and two processes that measure one photo at a time beside one process that
// measures two: how many trays in the same time. For people to read, judged by nobody:
// it means something on a quiet machine. Each five times in turn, the better of each counts, and the ratio of the sums is told, too.
func TestSharedThroughput(t *testing.T) {
	if os.Getenv(longEnv) == "" {
		t.Skip(longEnv + "=1 compares throughputs")
	}
	var alone, shared rate
	var clocks, processors [2]float64 // seconds a tray, of all pairs together
	for range 5 {
		a, b := throughputAlone(t), throughputShared(t)
		t.Logf("one process %.3f trays a second, %.2f s of processor each; two servers and two workers %.3f, %.2f s", a.trays, a.processor, b.trays, b.processor)
		alone, shared = alone.better(a), shared.better(b)
		for i, r := range []rate{a, b} {
			clocks[i], processors[i] = clocks[i]+1/r.trays, processors[i]+r.processor
		}
	}
	t.Logf("all pairs together: ratio %.2f by the clock, %.2f by the processor", clocks[0]/clocks[1], processors[0]/processors[1])
	t.Logf("at best %.3f trays a second by one process, %.3f by two servers and two workers: ratio %.2f; processor %.2f and %.2f s a tray: ratio %.2f",
		alone.trays, shared.trays, shared.trays/alone.trays, alone.processor, shared.processor, alone.processor/shared.processor)
}

// rate is how many trays a second, and the processor's seconds for each: of this process
// and all that it started, PostgreSQL and S3 among them.
type rate struct{ trays, processor float64 }

func (r rate) better(than rate) rate {
	if r == (rate{}) {
		return than
	}
	return rate{max(r.trays, than.trays), min(r.processor, than.processor)}
}

// throughputTrays is how many are measured each time.
const throughputTrays = 16

func throughputAlone(t *testing.T) rate {
	f := folder4test(t)
	for i := range throughputTrays {
		send(t, f, fmt.Sprint(i), told(), padded(sample(t, "tray-laid.jpg"), i))
	}
	runFor(t, f, pool4test(t, measuring, Options{Workers: 2}))
	return pace(t, f)
}

func throughputShared(t *testing.T) rate {
	t.Setenv(sortEnv, measuring)
	x := newSite4test(t)
	at, err := openPlace(t.Context(), x.postgres.URL(), x.photos)
	fatal.If(t, err)
	t.Cleanup(at.close)
	f, err := at.site(t.Context(), testSite)
	fatal.If(t, err)
	fatal.If(t, f.SetSession(t.Context(), intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: time.Now(), Ticket: told()}))
	x.begin(0)
	x.begin(1)
	p := &phones{proxy: x.proxy, stop: make(chan struct{})}
	for i := range throughputTrays {
		p.send("?name="+fmt.Sprint(i), bytes.Clone(padded(sample(t, "tray-laid.jpg"), i)))
	}
	x.begin(2)
	x.begin(3)
	got := pace(t, f)
	for i := range x.running {
		x.kill(i) // or they would take from the next
	}
	return got
}

// pace is how many trays are measured in a second, from the second on: the first ones
// start the workers.
func pace(t *testing.T, f *intake.Folder) rate {
	t.Helper()
	var began time.Time
	first, before := 0, 0.0
	for {
		n, err := f.Waiting(t.Context())
		fatal.If(t, err)
		if done := throughputTrays - n; done >= 2 && began.IsZero() {
			began, first, before = time.Now(), done, processor(t)
		}
		if n == 0 {
			trays := float64(throughputTrays - first)
			return rate{trays / time.Since(began).Seconds(), (processor(t) - before) / trays}
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// processor is how many seconds of it this process and all that it started have had.
func processor(t *testing.T) (seconds float64) {
	t.Helper()
	files, err := filepath.Glob("/proc/[0-9]*/stat")
	fatal.If(t, err)
	parent, used := map[int]int{}, map[int]int{}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			continue // it has ended
		}
		var pid, ppid, skip, user, system, childUser, childSystem int
		var state string
		fmt.Sscan(string(text), &pid)
		rest := string(text[bytes.LastIndexByte(text, ')')+1:])
		if _, err := fmt.Sscan(rest, &state, &ppid, &skip, &skip, &skip, &skip, &skip, &skip, &skip, &skip, &skip, &user, &system, &childUser, &childSystem); err != nil {
			t.Fatal(err)
		}
		parent[pid], used[pid] = ppid, user+system+childUser+childSystem
	}
	for pid := range parent {
		for at := pid; at > 1; at = parent[at] {
			if at == os.Getpid() {
				seconds += float64(used[pid]) / 100 // a tick is 10 ms
				break
			}
		}
	}
	return seconds
}
