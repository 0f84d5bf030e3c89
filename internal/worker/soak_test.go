package worker

import (
	"bytes"
	"errors"
	"os"
	"runtime/debug"
	"testing"
	"time"

	"netagauge/internal/intake"
	"netagauge/internal/uploadtest"
)

// Uploads of strangers end one by one, and the program goes on: every one that
// is taken in is refused or fails, or is still a photo of a tray.
func TestMalformedUploadsAreMeasured(t *testing.T) {
	n := 24
	if os.Getenv(longEnv) != "" {
		n = 1000
	}
	f := folder4test(t)
	f.Limits.Waiting = n + 1
	runFor(t, f, pool4test(t, "serve", Options{Workers: 2}))
	sound := sample(t, "tray-laid.jpg")
	before := resident(os.Getpid())
	for i := range n {
		_, err := f.Receive(t.Context(), intake.Shot{Owner: "stranger", Kind: intake.Class, Session: "Monday", Told: told(), Name: "\x1b[2J"}, bytes.NewReader(uploadtest.Malformed(sound, i)))
		if err != nil && !errors.Is(err, intake.ErrNotAPhoto) && !errors.Is(err, intake.ErrTooLarge) {
			t.Errorf("upload %d: %v", i, err)
		}
	}
	settle(t, f)
	shots, err := f.List(t.Context(), intake.Which{})
	if err != nil {
		t.Fatal(err)
	}
	ends := map[string]int{}
	for _, s := range shots {
		ends[string(s.State)+" "+s.Code]++
		if !s.Done() || s.State == intake.Failed {
			t.Errorf("photo %d is %s: %s", s.Number, s.State, s.Why)
		}
	}
	t.Logf("of %d uploads %d were taken in: %v; the program's memory %d MB before, %d MB after", n, len(shots), ends, before>>20, resident(os.Getpid())>>20)
}

// Memory stays flat over many photos of 12 megapixels: 300, or as many as the
// environment says.
func TestManyPhotosKeepMemoryFlat(t *testing.T) {
	if os.Getenv(longEnv) == "" || raceDetector {
		t.Skip(longEnv + "=1 sends 300 photos, without -race")
	}
	n := max(300, int(number(longEnv)))
	f := folder4test(t)
	p := pool4test(t, "serve", Options{Workers: 2, Photos: 100})
	photo := enlarged(t, 4032)
	debug.FreeOSMemory()
	runFor(t, f, p)
	start := time.Now()
	var server, workers []uint64
	for i := range n {
		send(t, f, "7", told(), append(bytes.Clone(photo), byte(i), byte(i>>8)))
		if i%10 == 9 {
			settle(t, f)
		}
		if i%(n/10) == n/10-1 {
			var most uint64
			for _, m := range p.Memory() {
				most = max(most, m)
			}
			server, workers = append(server, resident(os.Getpid())>>20), append(workers, most>>20)
		}
	}
	took := time.Since(start)
	t.Logf("%d photos of %d kB in %v; at every tenth of them, MB: server %v, larger worker %v", n, len(photo)>>10, took.Round(time.Second), server, workers)
	shots, err := f.List(t.Context(), intake.Which{States: []intake.State{intake.Measured}})
	if err != nil || len(shots) != n {
		t.Errorf("%d of %d photos were measured (%v)", len(shots), n, err)
	}
	if first, last := server[1], server[len(server)-1]; last > first*3/2 {
		t.Errorf("the server grew from %d to %d MB", first, last)
	}
	if first, last := workers[1], workers[len(workers)-1]; last > first*3/2 {
		t.Errorf("the workers grew from %d to %d MB", first, last)
	}
}
