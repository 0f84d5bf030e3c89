package main

import (
	"bytes"
	"image"
	"image/draw"
	"image/jpeg"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/disintegration/imaging"

	"netagauge/internal/core/fatal"
	"netagauge/internal/see/vision"
)

// rate tells how often the page looks four times slower than this computer. Browsers
// slow a page down but not its workers, so a worker's time is multiplied here; the two
// take turns on nothing. What a look costs is held to the library's own time.
func (p *phone) rate(f *film) {
	p.Helper()
	const slower = 4
	if _, err := chromedp.Call(p.ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: slower}); err != nil {
		p.Fatal(err)
	}
	p.do("look for a while", chromedp.Evaluate[chromedp.Void](`looks.length = 0`))
	before := threadTime("DedicatedWorker")
	time.Sleep(2 * time.Second)
	looks, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]look](`looks`))
	if err != nil || len(looks) < 3 {
		p.Fatalf("%d looks in two seconds, %v", len(looks), err)
	}
	one := (threadTime("DedicatedWorker") - before) / time.Duration(len(looks))
	span := (looks[len(looks)-1].At - looks[0].At) / 1000
	if _, err := chromedp.Call(p.ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: 1}); err != nil {
		p.Fatal(err)
	}
	floor := f.floor(p.T)
	p.Logf("a look takes %v of the worker's processor, %.1f times the library's %v; %d times slower that is %.1f a second, and the page asks %.1f times",
		one.Round(time.Millisecond), one.Seconds()/floor.Seconds(), floor.Round(time.Millisecond), slower, 1/(slower*one.Seconds()), float64(len(looks)-1)/span)
	if one > 5*floor {
		p.Errorf("a look takes %v, over five times the library's %v", one, floor)
	}
}

// floor is the processor time that the library takes, as the program is linked with it,
// to find the tags of a frame as large as the page looks at.
func (f *film) floor(t *testing.T) time.Duration {
	t.Helper()
	small, err := jpeg.Decode(bytes.NewReader(f.Bytes()))
	fatal.If(t, err)
	g := image.NewGray(image.Rect(0, 0, 720, 960))
	draw.Draw(g, g.Rect, imaging.Fit(small, 960, 960, imaging.Box), image.Point{}, draw.Src)
	const times = 10
	var from, to syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &from)
	for range times {
		if _, err := vision.DetectTags(g, 1, vision.Faint); err != nil {
			t.Fatal(err)
		}
	}
	syscall.Getrusage(syscall.RUSAGE_SELF, &to)
	return time.Duration(to.Utime.Nano()+to.Stime.Nano()-from.Utime.Nano()-from.Stime.Nano()) / times
}

// threadTime is the processor time so far of the threads of a name in this test's
// processes, by proc(5).
func threadTime(name string) (spent time.Duration) {
	parents := map[string]string{}
	all, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, path := range all {
		parents[filepath.Base(filepath.Dir(path))] = fields(path)[1]
	}
	for pid := range parents {
		up, ours := pid, strconv.Itoa(os.Getpid())
		for up != ours && parents[up] != "" {
			up = parents[up]
		}
		tasks, _ := filepath.Glob("/proc/" + pid + "/task/*/stat")
		for _, path := range tasks {
			if comm, _ := os.ReadFile(filepath.Join(filepath.Dir(path), "comm")); up == ours && strings.HasPrefix(string(comm), name) {
				user, _ := strconv.Atoi(fields(path)[11])
				system, _ := strconv.Atoi(fields(path)[12])
				spent += time.Duration(user+system) * 10 * time.Millisecond
			}
		}
	}
	return spent
}

// fields are those of a process's or a thread's stat behind its name, zeros when it is
// gone.
func fields(path string) []string {
	text, _ := os.ReadFile(path)
	_, after, _ := strings.Cut(string(text), ") ")
	return append(strings.Fields(after), make([]string, 13)...)
}
