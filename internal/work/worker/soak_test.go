package worker

import (
	"bytes"
	"errors"
	"fmt"
	"image/jpeg"
	pngencoding "image/png"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/uploadtest"
	"netagauge/internal/work/record"
)

// Uploads of strangers end one by one, and the program goes on: every one that
// is taken in is refused or fails, or is still a photo of a tray.
func TestMalformedUploadsAreMeasured(t *testing.T) {
	n := 24
	if os.Getenv(longEnv) != "" {
		n = 1000
	}
	f := folder4test(t)
	f.Limits.Waiting, f.Limits.Each = n+1, n+1
	runFor(t, f, pool4test(t, "serve", Options{Workers: 2}))
	sound := sample(t, "tray-laid.jpg")
	before := resident(os.Getpid())
	for i := range n {
		_, err := f.Receive(t.Context(), intake.Shot{Owner: "stranger", Kind: intake.Class, Session: "Monday", Ticket: told(), Name: "\x1b[2J"}, bytes.NewReader(uploadtest.Malformed(sound, i)))
		if err != nil && !errors.Is(err, intake.ErrNotAPhoto) && !errors.Is(err, intake.ErrTooLarge) {
			t.Errorf("upload %d: %v", i, err)
		}
	}
	settle(t, f)
	shots, err := f.List(t.Context(), intake.Filter{})
	fatal.If(t, err)
	ends := map[string]int{}
	for _, s := range shots {
		ends[string(s.State)+" "+s.Code]++
		if !s.Done() || s.State == intake.Failed {
			t.Errorf("photo %d is %s: %v", s.Number, s.State, s.Why)
		}
	}
	t.Logf("of %d uploads %d were taken in: %v; the program's memory %d MB before, %d MB after", n, len(shots), ends, before>>20, resident(os.Getpid())>>20)
}

// Hostile files of every kind that is read, made from sound ones by changing bytes:
// no worker crashes the program, has more than 1 GB or takes more than 20 s. 2,000
// of them, or as many as the environment says.
func TestHostileFiles(t *testing.T) {
	n := 36
	if os.Getenv(longEnv) != "" {
		n = 2000
		if asked := int(number(longEnv)); asked > 1 {
			n = asked
		}
	}
	p := pool4test(t, "serve", Options{Wall: time.Minute}, memoryEnv+"="+fmt.Sprint(Usual.Memory>>20), cpuEnv+"="+fmt.Sprint(int(Usual.CPU.Seconds())))
	var png bytes.Buffer
	img, err := jpeg.Decode(bytes.NewReader(sample(t, "tray-laid.jpg")))
	if err == nil {
		err = (&pngencoding.Encoder{CompressionLevel: pngencoding.BestSpeed}).Encode(&png, img)
	}
	fatal.If(t, err)
	sound := [][]byte{sample(t, "tray-laid.jpg"), png.Bytes(), sample(t, "tray-a4.heic")}
	if dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/bep/imagemeta").Output(); err == nil { // a phone's, in tiles
		if data, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "testdata", "images", "iphone.heic")); err == nil {
			sound = append(sound, data)
		}
	}
	ends, most, longest := map[string]int{}, int64(0), time.Duration(0)
	// No. 89 has a slice with an edge that most profiles do not see whole: its length
	// was no number.
	const mistaken = 89
	for k := range n + 1 {
		i := k
		if k == n {
			i = mistaken
		}
		data := uploadtest.Malformed(sound[0], i)
		if i%2 == 1 {
			data = uploadtest.Mutated(sound[i/2%len(sound)], i)
		}
		began := time.Now()
		r, err := p.Measure(t.Context(), trayOf(data))
		longest = max(longest, time.Since(began))
		switch {
		case err == nil:
			ends[string(r.Report.Status)]++
		case errors.Is(err, ErrSlow):
			t.Errorf("file %d: %v", i, err)
		case errors.As(err, new(record.MistakeError)):
			t.Errorf("file %d: %v", i, err)
		default: // one worker, and the next goes on
			ends[fmt.Sprintf("%.40s", err)]++
		}
		if w := p.at(0); w != nil {
			most = max(most, peak(w.cmd.Process.Pid))
		}
	}
	t.Logf("%d files: %v; the longest took %v by the clock, a worker had %d MB at most", n, ends, longest.Round(time.Millisecond), most>>20)
	if most > 1<<30 {
		t.Errorf("a worker had %d MB", most>>20)
	}
	if ends["refused"] == 0 {
		t.Error("no file was refused: these are not hostile")
	}
}

// peak is the most memory a process had at once.
func peak(pid int) int64 {
	status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	_, after, _ := strings.Cut(string(status), "VmHWM:")
	var kB int64
	fmt.Sscan(after, &kB)
	return kB << 10
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
			for _, m := range workersMemory(p) {
				most = max(most, m)
			}
			server, workers = append(server, resident(os.Getpid())>>20), append(workers, most>>20)
		}
	}
	took := time.Since(start)
	t.Logf("%d photos of %d kB in %v; at every tenth of them, MB: server %v, larger worker %v", n, len(photo)>>10, took.Round(time.Second), server, workers)
	shots, err := f.List(t.Context(), intake.Filter{States: []intake.State{intake.Measured}})
	if err != nil || len(shots) != n {
		t.Errorf("%d of %d photos were measured (%v)", len(shots), n, err)
	}
	if first, last := server[1], server[len(server)-1]; last > first*3/2 {
		t.Errorf("the server grew from %d to %d MB", first, last)
	}
	workers = slices.DeleteFunc(workers, func(m uint64) bool { return m == 0 }) // just replaced
	if first, last := workers[0], workers[len(workers)-1]; last > first*3/2 {
		t.Errorf("the workers grew from %d to %d MB", first, last)
	}
}

// Thirty phones send at once; none is turned away, all are graded, and whoever
// looks at the class meanwhile does not wait.
func TestThirtyPhonesAtOnce(t *testing.T) {
	if os.Getenv(longEnv) == "" || raceDetector {
		t.Skip(longEnv + "=1 sends 30 photos of 12 megapixels at once, without -race")
	}
	const phones = 30
	f := folder4test(t)
	runFor(t, f, pool4test(t, "serve", Options{Workers: 2}))
	photo := enlarged(t, 4032)
	start := time.Now()
	var all sync.WaitGroup
	for i := range phones {
		all.Go(func() { send(t, f, "phone", told(), append(bytes.Clone(photo), byte(i))) })
	}
	looking := make(chan []time.Duration)
	done := make(chan struct{})
	go func() { looking <- lookOn(t, f, done) }()
	all.Wait()
	received := time.Since(start)
	settle(t, f)
	took := time.Since(start)
	close(done)
	waits := <-looking
	slices.Sort(waits)
	measured, err := f.List(t.Context(), intake.Filter{States: []intake.State{intake.Measured}})
	if err != nil || len(measured) != phones {
		t.Errorf("%d of %d photos were measured (%v)", len(measured), phones, err)
	}
	p95 := waits[len(waits)*95/100]
	t.Logf("%d photos received in %v, graded in %v; %d looks at the class meanwhile, 95 %% within %v", phones, received, took, len(waits), p95)
	if p95 > 300*time.Millisecond {
		t.Errorf("a look at the class takes %v", p95)
	}
}

// lookOn reads what the class's board shows, again and again, until done.
func lookOn(t *testing.T, f *intake.Folder, done <-chan struct{}) (waits []time.Duration) {
	for {
		select {
		case <-done:
			return waits
		case <-time.After(20 * time.Millisecond):
		}
		start := time.Now()
		run, err := f.Run(t.Context(), "Monday")
		if err == nil {
			_, err = board.Load(t.Context(), f.Book(), run)
		}
		if err == nil {
			_, err = f.List(t.Context(), intake.Filter{Kind: intake.Class, Session: "Monday"})
		}
		if err != nil {
			t.Error(err)
		}
		waits = append(waits, time.Since(start))
	}
}

// workersMemory is the resident memory of each worker that runs now, bytes.
func workersMemory(p *Pool) []uint64 {
	p.mu.Lock()
	defer p.mu.Unlock()
	var out []uint64
	for _, w := range p.running {
		out = append(out, resident(w.cmd.Process.Pid))
	}
	return out
}

// resident reads a process's resident memory from /proc.
func resident(pid int) uint64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	var kb uint64
	for line := range strings.Lines(string(text)) {
		if n, _ := fmt.Sscanf(line, "VmRSS: %d kB", &kb); n == 1 {
			return kb << 10
		}
	}
	return 0
}
