package worker

import (
	"math"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/standard"
	"netagauge/internal/see/printscale"
	"netagauge/internal/work/blockplan"
	"netagauge/internal/work/inspect"
	"netagauge/internal/work/record"

	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"image/jpeg"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/tell/report"
)

// A worker gives what the check gives in the program itself.
func TestWorkerAgreesWithCheck(t *testing.T) {
	p := pool4test(t, "serve", Options{})
	data := sample(t, "tray-laid.jpg")
	photo := trayOf(data)
	photo.Ticket.Species, photo.Ticket.Thickness = "salmon", "4.2"
	got, err := p.Measure(t.Context(), photo)
	fatal.If(t, err)
	want, err := Here.Measure(t.Context(), photo)
	fatal.If(t, err)
	var a, b bytes.Buffer
	fatal.If(t, errors.Join(report.JSON(&a, got.Report), report.JSON(&b, want.Report)))
	if a.String() != b.String() {
		t.Errorf("the worker says %s\nthe check says %s", &a, &b)
	}
	if !bytes.Equal(got.Picture, want.Picture) {
		t.Errorf("pictures of %d and %d bytes differ", len(got.Picture), len(want.Picture))
	}
	if len(want.View) == 0 || !bytes.Equal(got.View, want.View) {
		t.Errorf("views of %d and %d bytes differ", len(got.View), len(want.View))
	}
}

// Whatever a worker does, the photo fails alone, after a second try in a fresh
// worker; the one that used up its processor time without.
func TestBadWorkers(t *testing.T) {
	for sort, want := range map[string]error{"die": ErrStopped, "hang": ErrSlow, "spin": ErrSlow, "eat": ErrStopped, "babble": ErrStopped, "another": ErrStopped} {
		t.Run(sort, func(t *testing.T) {
			t.Parallel()
			if sort == "eat" {
				withoutRaceDetector(t)
			}
			badWorker(t, sort, want)
		})
	}
}

// withoutRaceDetector skips a test of a limit on memory: the detector's own counts
// against it, and now and then ends a worker before it begins. .ci/run names the
// tests that call it and runs them without the detector.
func withoutRaceDetector(t *testing.T) {
	t.Helper()
	if raceDetector {
		t.Skip("the race detector's own memory is over the limit")
	}
}

func badWorker(t *testing.T, sort string, want error) {
	mark := filepath.Join(t.TempDir(), "tries")
	wall, memory := time.Minute, ""
	switch sort {
	case "hang":
		wall = 300 * time.Millisecond
	case "eat":
		memory = "300"
	}
	p := pool4test(t, sort, Options{Wall: wall}, markEnv+"="+mark, memoryEnv+"="+memory, cpuEnv+"=1")
	_, err := p.Measure(t.Context(), trayOf([]byte("whatever")))
	if !errors.Is(err, want) {
		t.Errorf("error %v, want %v", err, want)
	}
	if err != nil && strings.Contains(err.Error(), "\x1b") {
		t.Errorf("the worker's words reach the terminal: %q", err)
	}
	tries, _ := os.ReadFile(mark)
	wanted := 2
	if sort == "spin" { // which would use up the time again
		wanted = 1
	}
	if n := strings.Count(string(tries), "\n"); n != wanted {
		t.Errorf("%d tries, want %d", n, wanted)
	}
	t.Log(err)
}

// A panic over a photo is an error of that photo alone, in this process and in a
// worker, which goes on with the next.
func TestPanicIsAMistake(t *testing.T) {
	p := pool4test(t, "panic", Options{})
	photo := trayOf([]byte("no photo"))
	var workers [2]*process
	for i := range workers {
		_, err := p.Measure(t.Context(), photo)
		isMistake(t, "a worker", err)
		workers[i] = p.at(0)
	}
	if workers[0] == nil || workers[0] != workers[1] {
		t.Error("the worker was replaced; it did not outlive the panic")
	}
	_, err := Here.Measure(faulty{t.Context()}, photo)
	isMistake(t, "this process", err)
}

func isMistake(t *testing.T, where string, err error) {
	t.Helper()
	var mistake record.MistakeError
	if !errors.As(err, &mistake) || !strings.Contains(mistake.What, "index out of range") {
		t.Errorf("%s: error %v, want a mistake of the program's that says what it was", where, err)
	}
}

// A worker that does not even begin is no fault of the photo's.
func TestNoWorker(t *testing.T) {
	for _, sort := range []string{"broken", "mute"} {
		p := pool4test(t, sort, Options{})
		if _, err := p.Measure(t.Context(), trayOf(nil)); !errors.Is(err, ErrNoWorker) || strings.Contains(err.Error(), "\x1b") {
			t.Errorf("%s: error %v, want %v", sort, err, ErrNoWorker)
		} else {
			t.Log(err)
		}
	}
}

func TestSecondTryInAFreshWorker(t *testing.T) {
	p := pool4test(t, "die once", Options{}, markEnv+"="+filepath.Join(t.TempDir(), "tries"))
	got, err := p.Measure(t.Context(), trayOf(sample(t, "tray-laid.jpg")))
	if err != nil || got.Report.Status != piece.TrayMeasured {
		t.Errorf("%v, %v", got.Report.Status, err)
	}
}

// A worker killed in the middle of a photo costs that try only.
func TestWorkerKilledMidPhoto(t *testing.T) {
	p := pool4test(t, "serve", Options{})
	data := sample(t, "tray-a4.jpg")
	if _, err := p.Measure(t.Context(), trayOf(data)); err != nil { // one that runs
		t.Fatal(err)
	}
	killed := p.at(0)
	time.AfterFunc(50*time.Millisecond, func() { syscall.Kill(killed.cmd.Process.Pid, syscall.SIGKILL) })
	got, err := p.Measure(t.Context(), trayOf(data))
	if err != nil || got.Report.Status != piece.TrayMeasured {
		t.Errorf("%v, %v", got.Report.Status, err)
	}
	if p.at(0) == killed {
		t.Error("the killed worker was not replaced; it was not killed in time")
	}
}

func TestWorkersAreReplaced(t *testing.T) {
	p := pool4test(t, "serve", Options{Photos: 2})
	data := []byte("no photo")
	seen := map[*process]bool{}
	for range 5 {
		if _, err := p.Measure(t.Context(), trayOf(data)); err != nil {
			t.Fatal(err)
		}
		if w := p.at(0); w != nil {
			seen[w] = true
		}
	}
	if len(seen) != 3 {
		t.Errorf("5 photos, 2 a worker, took %d workers (as seen between them), want 3", len(seen))
	}
}

func TestCancelEndsTheWorker(t *testing.T) {
	p := pool4test(t, "hang", Options{})
	ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
	defer cancel()
	if _, err := p.Measure(ctx, trayOf(nil)); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("error %v, want the context's", err)
	}
	if p.at(0) != nil {
		t.Error("the worker is kept")
	}
}

// What a person entered wrong is told apart from what the program did wrong.
func TestEntered(t *testing.T) {
	p := pool4test(t, "serve", Options{})
	photo := trayOf(sample(t, "tray-laid.jpg"))
	photo.Ticket.Thickness = "99:4.2"
	_, err := p.Measure(t.Context(), photo)
	var entered record.EnteredError
	if !errors.As(err, &entered) || strings.Contains(err.Error(), "tray.jpg") {
		t.Errorf("error %v, want one about what was entered, without the file", err)
	}
}

// deepPNG is within the limits on pixels and takes all the memory it can: 8000 by
// 6400 pixels of 16 bits in four colours, all nought, as Go's encoder writes
// them; the file is packed once more.
func deepPNG(t testing.TB) []byte {
	t.Helper()
	f, err := os.Open("testdata/deep.png.gz")
	fatal.If(t, err)
	defer f.Close()
	unpacked, err := gzip.NewReader(f)
	fatal.If(t, err)
	data, err := io.ReadAll(unpacked)
	fatal.If(t, err)
	return data
}

// A picture that takes more memory than there is ends one worker, not the
// program.
func TestMemoryBomb(t *testing.T) {
	withoutRaceDetector(t)
	p := pool4test(t, "serve", Options{}, memoryEnv+"=300")
	if _, err := p.Measure(t.Context(), trayOf(deepPNG(t))); !errors.Is(err, ErrStopped) {
		t.Errorf("error %v, want %v", err, ErrStopped)
	}
}

// The usual limit is enough for every photo within the limits on pixels.
func TestUsualLimitIsEnough(t *testing.T) {
	if os.Getenv(longEnv) == "" || raceDetector {
		t.Skip(longEnv + "=1 measures the memory that photos take, without -race")
	}
	for name, data := range map[string][]byte{
		"12 MP JPEG": enlarged(t, 4032), "50 MP JPEG": enlarged(t, 8160), "HEIC": sample(t, "tray-a4.heic"), "51 MP PNG of 16 bits": deepPNG(t),
	} {
		enough := false
		for mb := uint64(200); mb <= Usual.Memory>>20 && !enough; mb += 50 {
			p := pool4test(t, "serve", Options{}, memoryEnv+"="+strconv.FormatUint(mb, 10), cpuEnv+"=90")
			start := time.Now()
			r, err := p.Measure(t.Context(), trayOf(data))
			if err != nil || len(r.Report.Problems) > 0 && r.Report.Problems[0].Code == "unreadable" {
				continue
			}
			enough = true
			status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.at(0).cmd.Process.Pid))
			t.Logf("%s: %s with %d MB, %v\n%s", name, r.Report.Status, mb, time.Since(start), vm(string(status)))
		}
		if !enough {
			t.Errorf("%s: %d MB are not enough", name, Usual.Memory>>20)
		}
	}
}

// longEnv asks for the tests that take minutes.
const longEnv = "NETAGAUGE_LONG"

// vm picks the lines about memory from a process's status.
func vm(status string) string {
	var out []string
	for line := range strings.Lines(status) {
		for _, k := range []string{"VmPeak", "VmData", "VmHWM", "VmRSS", "Threads"} {
			if strings.HasPrefix(line, k) {
				out = append(out, strings.Join(strings.Fields(line), " "))
			}
		}
	}
	return strings.Join(out, "; ")
}

// enlarged is a sample tray with a longer side of so many pixels.
func enlarged(t testing.TB, side int) []byte {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(sample(t, "tray-a4.jpg")))
	fatal.If(t, err)
	return scaledJPEG(t, img, side)
}

// A worker given two photos of a tray measures with both.
func TestWorkerTakesPairs(t *testing.T) {
	p := pool4test(t, "serve", Options{})
	read := func(name string) []byte {
		data, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "pairs", name))
		fatal.If(t, err)
		return data
	}
	photo := trayOf(read("koba.jpg"))
	photo.Second = record.Bytes("moved.jpg", read("koba.b.jpg"))
	got, err := p.Measure(t.Context(), photo)
	fatal.If(t, err)
	if len(got.Report.Problems) > 0 || len(got.Report.MeasuredPieces()) == 0 {
		t.Errorf("problems %+v", got.Report.Problems)
	}
	for _, q := range got.Report.MeasuredPieces() {
		if !q.Thickness.Known || q.ThicknessMap == nil {
			t.Errorf("piece %d has no thickness", q.Number)
		}
	}
	photo.Second = record.Bytes("moved.jpg", []byte("no photo"))
	if got, err = p.Measure(t.Context(), photo); err != nil || len(got.Report.Problems) == 0 || got.Report.Problems[0].Code != "second-photo" {
		t.Errorf("with a second photo that is none: %+v, %v", got.Report.Problems, err)
	}
}

// A program that limits itself ends when its time is up, with its own words.
func TestOwnLimits(t *testing.T) {
	cmd := exec.Command("/proc/self/exe")
	cmd.Env = append(os.Environ(), workerEnv+"=own", cpuEnv+"=1")
	out, err := cmd.CombinedOutput()
	if cmd.ProcessState.ExitCode() != 3 || string(out) != "over\n" {
		t.Errorf("it ended with %v and said %q", err, out)
	}
}

// A worker that measures is in its sandbox.
func TestWorkersAreFenced(t *testing.T) {
	lacking := ""
	p := pool4test(t, "serve", Options{Lacking: func(what string) { lacking = what }})
	if _, err := p.Measure(t.Context(), trayOf(sample(t, "tray-a4.jpg"))); err != nil {
		t.Fatal(err)
	}
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.at(0).cmd.Process.Pid))
	fatal.If(t, err)
	if !strings.Contains(string(status), "Seccomp:\t2") && !strings.Contains(lacking, "seccomp") {
		t.Errorf("no system call is forbidden, and nobody was told:\n%s", status)
	}
}

// A worker plans a photographed block and verifies a mat's print as the program
// itself does, and says what is wrong with a photo without its file.
func TestWorkerTakesSinglePhotos(t *testing.T) {
	p := pool4test(t, "serve", Options{})
	told := plan.Photographed{Heights: "21.8", Standard: standard.Default(), Options: plan.DefaultOptions()}
	data := sample(t, "block.jpg")
	want, drawn, err := blockplan.Make(t.Context(), inspect.Photo{Name: "block.jpg", Data: data}, inspect.Photo{}, told)
	fatal.If(t, err)
	got, picture, err := p.Block(t.Context(), record.Bytes("block.jpg", data), record.Photo{}, told)
	if err != nil || len(got.Slices) != len(want.Slices) || len(want.Slices) == 0 || !bytes.Equal(picture, drawn) {
		t.Errorf("%d slices and a picture of %d bytes (%v), the program itself has %d and %d", len(got.Slices), len(picture), err, len(want.Slices), len(drawn))
	}
	// The card on the tray is 85.6 mm long, and the scene's mat is printed true.
	v, err := p.Print(t.Context(), record.Bytes("card.jpg", sample(t, "tray-card.jpg")), "")
	if err != nil || v.Mat != "a3" || v.By != printscale.Card() || math.Abs(v.Scale.X-1) > v.Scale.Expanded() || !(v.Scale.U > 0 && v.Scale.U < 0.003) {
		t.Errorf("the mat is printed at %+v, %v", v, err)
	}
	var entered record.EnteredError
	for what, ask := range map[string]func() error{
		"no card": func() error {
			_, err := p.Print(t.Context(), record.Bytes("x.jpg", sample(t, "tray-laid.jpg")), "")
			return err
		},
		"no coin": func() error {
			_, err := p.Print(t.Context(), record.Bytes("x.jpg", sample(t, "tray-laid.jpg")), "100 yen")
			return err
		},
		"odd coin": func() error { _, err := p.Print(t.Context(), record.Bytes("x.jpg", nil), "groat"); return err },
		"no photo": func() error {
			_, err := p.Print(t.Context(), record.Bytes("x.jpg", []byte("no photo")), "")
			return err
		},
		"no height": func() error {
			_, _, err := p.Block(t.Context(), record.Bytes("x.jpg", data), record.Photo{}, plan.Photographed{})
			return err
		},
		"no block": func() error {
			_, _, err := p.Block(t.Context(), record.Bytes("x.jpg", []byte("no photo")), record.Photo{}, told)
			return err
		},
	} {
		if err := ask(); !errors.As(err, &entered) || strings.Contains(err.Error(), "x.jpg: ") {
			t.Errorf("%s: %v, want an error about the photo, without its file", what, err)
		}
	}
}

// A photo that changes on the way is not measured, and a pool that is closed takes
// no more.
func TestChangedAndClosed(t *testing.T) {
	p := pool4test(t, "serve", Options{})
	tray := trayOf([]byte("no photo"))
	tray.First.Hash = "another"
	if _, err := p.Measure(t.Context(), tray); !errors.Is(err, record.ErrChanged) {
		t.Errorf("%v, want %v", err, record.ErrChanged)
	}
	q := NewPool(Options{Workers: 1})
	q.Close()
	if _, err := q.Measure(t.Context(), tray); !errors.Is(err, ErrNoWorker) {
		t.Errorf("%v, want %v", err, ErrNoWorker)
	}
}
