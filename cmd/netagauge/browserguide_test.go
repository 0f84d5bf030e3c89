package main

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/disintegration/imaging"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// pose is how a phone is held upright over a mat that lies upright before it: its height
// along the camera's axis and how far it stands to the right of the middle, in lengths of
// the paper, and how far it leans back, degrees.
type pose struct{ height, tilt, right float64 }

// camera is a phone's camera held so, without distortion.
func (p pose) camera(l mat.Layout) mat.Camera {
	sin, cos := math.Sincos(p.tilt * math.Pi / 180)
	c := mat.Camera{F: 0.75 * filmHigh, Centre: r2.Vec{X: (filmWide - 1) / 2.0, Y: (filmHigh - 1) / 2.0},
		R: [3]r3.Vec{{Y: -1}, {X: cos, Z: -sin}, {X: sin, Z: cos}}}
	middle := r3.Vec{X: l.Paper.X / 2, Y: l.Paper.Y / 2}
	c.T = r3.Vec{X: -l.Paper.X*p.right - r3.Dot(c.R[0], middle), Y: -r3.Dot(c.R[1], middle), Z: l.Paper.X*p.height - r3.Dot(c.R[2], middle)}
	return c
}

// film is what a phone's camera sees of a tray, held in one way after another, each for
// so many frames of 1/30 s: a photo of the tray, taken back to the mat and seen anew.
type film struct {
	photo *image.NRGBA
	found mat.Found
	bytes.Buffer
}

const filmWide, filmHigh, second = 900, 1200, 30

// hold films for so many frames what is seen from one place.
func (f *film) hold(t *testing.T, p pose, frames int) {
	f.Write(bytes.Repeat(f.frame(t, p, false), frames))
}

func newFilm(t *testing.T, path string) *film {
	t.Helper()
	src, err := imaging.Open(path, imaging.AutoOrientation(true))
	if err != nil {
		t.Fatal(err)
	}
	f := &film{photo: imaging.Clone(src)}
	g := image.NewGray(f.photo.Rect)
	for i := range g.Pix {
		p := f.photo.Pix[4*i:]
		g.Pix[i] = uint8((77*int(p[0]) + 150*int(p[1]) + 29*int(p[2])) >> 8)
	}
	if f.found, err = mat.Find(g, 0); err != nil {
		t.Fatal(err)
	}
	return f
}

// frame is the photo seen from another place, as JPEG; what it does not show is wood,
// and where it is spoilt a thumb lies on a corner of the mat.
func (f *film) frame(t *testing.T, p pose, spoilt bool) []byte {
	t.Helper()
	c := p.camera(f.found.Layout)
	out := image.NewNRGBA(image.Rect(0, 0, filmWide, filmHigh))
	for y := range filmHigh {
		for x := range filmWide {
			mm := c.Unproject(r2.Vec{X: float64(x), Y: float64(y)}, 0)
			out.SetNRGBA(x, y, between(f.photo, f.found.Camera.Project(mm, 0)))
		}
	}
	if spoilt {
		corner := c.Project(f.found.Layout.Tags[0].Corners[2], 0)
		thumb := image.Rect(-40, -40, 40, 40).Add(image.Pt(int(corner.X), int(corner.Y)))
		draw.Draw(out, thumb, image.NewUniform(color.NRGBA{200, 150, 120, 255}), image.Point{}, draw.Src)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, out, &jpeg.Options{Quality: 88}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// between is a photo's colour between four pixels, by both distances.
func between(p *image.NRGBA, at r2.Vec) color.NRGBA {
	x, y := int(math.Floor(at.X)), int(math.Floor(at.Y))
	if x < 0 || y < 0 || x+1 >= p.Rect.Dx() || y+1 >= p.Rect.Dy() {
		return color.NRGBA{120, 85, 60, 255}
	}
	var out [3]float64
	for k := range 4 {
		i, j := k%2, k/2
		share := math.Abs(float64(1-i)-(at.X-float64(x))) * math.Abs(float64(1-j)-(at.Y-float64(y)))
		for c := range out {
			out[c] += share * float64(p.Pix[p.PixOffset(x+i, y+j)+c])
		}
	}
	return color.NRGBA{uint8(out[0] + 0.5), uint8(out[1] + 0.5), uint8(out[2] + 0.5), 255}
}

// write keeps what was filmed as Motion JPEG: one picture after the other.
func (f *film) write(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "film.mjpeg")
	if err := os.WriteFile(path, f.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// look is what the page made of a frame of the camera, and when, ms.
type look struct {
	Word                     string
	At, Tilt, Scale, Towards float64
}

// watched keeps what the worker says, before any of the page's own scripts run; with
// shaking no hand is still.
const watched = `{ const W = Worker; globalThis.looks = []; Worker = class extends W {
	constructor(address) { super(address); this.addEventListener("message", ({ data }) => { if (globalThis.shaking && data.word === "well") { data.word = "still"; } if (data.word) { looks.push({ ...data, At: performance.now() }); } }); } } }`

// A phone is held too high, leaning, too far to the right, and moving, then well: each
// is told, the shutter goes off by itself and only at the end, and the tray arrives and
// is measured. The next tray takes one tap; by hand the shutter goes off at any time.
func TestGuidedShot(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser and some seconds")
	}
	f := newFilm(t, "../../testdata/photos/tray-a4.jpg")
	held := []pose{{1.6, 8, 0}, {0.95, 36, 0}, {0.95, 5, 0.2}}
	for _, p := range held {
		f.hold(t, p, second)
	}
	const steps = 8
	var moving [steps][]byte
	for i := range moving {
		moving[i] = f.frame(t, pose{0.95, 5, 0.008 * float64(i)}, false) // 70 mm/s
	}
	for i := range second {
		f.Write(moving[min(i%(2*steps-2), 2*steps-2-i%(2*steps-2))])
	}
	f.hold(t, pose{0.95, 5, 0}, 8*second)

	p := newPhone(t, chromedp.Flag("use-fake-ui-for-media-stream", true), chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-file-for-fake-video-capture", f.write(t)))
	p.joins("Aoi Example")
	p.onEachPage(watched)
	p.open("/tray")
	p.do("what it needs is kept for when there is no Wi-Fi", chromedp.Evaluate[chromedp.Void](`(async () => {
		for (let n = 0; n < 3; await new Promise((r) => setTimeout(r, 50))) { n = (await (await caches.open("netagauge-1")).keys()).filter((k) => /look.js|tags.wasm|mats.json/.test(k.url)).length; }
	})()`, chromedp.EvalAwaitPromise))
	p.do("press the button", chromedp.Click(".camera"), chromedp.WaitVisible("dialog.preview"))
	looks, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]look](`looks`))
	if err != nil {
		t.Fatal(err)
	}
	told(t, looks, f.found.Layout, held)
	p.do("send it", chromedp.Click("[data-send]"), chromedp.WaitVisible(`[data-live], .verdict, .problem`))
	p.settled()
	p.says("good")

	p.onEachPage("globalThis.shaking = true")
	p.do("the next tray", chromedp.Click(".foot .button"), chromedp.WaitVisible("dialog.live"))
	p.look("live")
	p.rate(f)
	p.do("press the shutter", chromedp.Click("[data-take]"), chromedp.WaitVisible("dialog.preview"))
	p.do("take it again", chromedp.Click("[data-retake]"), chromedp.WaitVisible("dialog.live"), chromedp.Click("[data-shut]"), chromedp.WaitNotPresent("dialog"))

	p.looksAt(f)
	p.do("no", chromedp.Evaluate[chromedp.Void](`navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("", "NotAllowedError")), void 0`),
		chromedp.Click(".camera"), chromedp.WaitVisible("[data-says]:not(:empty)"))
	p.says("may not use the camera", "With the phone's own camera")
	p.do("the phone's own camera", chromedp.Click(".camera"))
	if n, err := chromedp.Run(p.ctx, chromedp.Evaluate[int](`document.querySelectorAll("dialog").length`)); err != nil || n != 0 {
		t.Errorf("a page that may not use the camera asks again, %v", err)
	}
}

func (p *phone) onEachPage(script string) {
	p.Helper()
	if _, err := chromedp.Call(p.ctx, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: script}); err != nil {
		p.Fatal(err)
	}
}

// joins opens a class and comes in by its code.
func (p *phone) joins(name string) {
	p.Helper()
	p.signIn("instructor", p.passcode)
	p.do("open a class", chromedp.SetValue("#class", "Monday"), chromedp.SetValue("#species", "salmon"), chromedp.Click(`form[action="/class"] button`), chromedp.WaitVisible("[data-live]"))
	p.signOut()
	p.do("the class code", chromedp.SetValue("#code", p.code), chromedp.Click(`form[action="/join"] button`), chromedp.WaitVisible(`button[name="name"]`))
	p.do("pick the name", chromedp.Click(`button[value="`+name+`"]`), chromedp.WaitVisible(".camera"))
}

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
	if err != nil {
		t.Fatal(err)
	}
	g := image.NewGray(image.Rect(0, 0, 720, 960))
	draw.Draw(g, g.Rect, imaging.Fit(small, 960, 960, imaging.Box), image.Point{}, draw.Src)
	const times = 10
	var from, to syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &from)
	for range times {
		if _, err := vision.DetectTags(g, 1); err != nil {
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

// looksAt shows the worker a mat as phones held in many ways see it. What it says of
// scale, tilt and the way to go is held to how the phone was held.
func (p *phone) looksAt(f *film) {
	p.Helper()
	open := `(() => {
		const d = document.querySelector("template[data-guide]").dataset, w = new Worker(d.look);
		const ask = (what, hand) => new Promise((done) => { w.onmessage = (e) => done(e.data); w.postMessage(what, hand || []); });
		globalThis.lookAt = async (text, side) => {
			const picture = await createImageBitmap(new Blob([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))]), side ? { resizeWidth: side } : {});
			return ask({ picture }, [picture]);
		};
		return ask({ wasm: d.wasm, mats: d.mats }).then(() => 0);
	})()`
	p.do("start a worker", chromedp.Evaluate[chromedp.Void](open, chromedp.EvalAwaitPromise))
	up, down, left, right := -math.Pi/2, math.Pi/2, math.Pi, 0.0
	for _, x := range []struct {
		word    string
		held    pose
		towards float64
		side    int // of the picture, px; 0 as filmed
		spoil   bool
	}{
		{"still", pose{0.95, 0, 0}, 0, 0, false}, {"still", pose{0.95, 20, 0}, 0, 0, false}, {"still", pose{0.95, -20, 0}, 0, 0, false},
		{"lift", pose{1, 40, 0}, up, 0, false}, {"lift", pose{1, -40, 0}, down, 0, false},
		{"left", pose{0.9, 0, 0.2}, left, 0, false}, {"right", pose{0.9, 0, -0.2}, right, 0, false},
		{"higher", pose{0.7, 0, 0}, 0, 0, false}, {"lower", pose{1.7, 0, 0}, 0, 0, false}, {"coarse", pose{0.95, 0, 0}, 0, 450, false},
		{"clear", pose{0.95, 0, 0}, 0, 0, true},
	} {
		c := x.held.camera(f.found.Layout)
		text := base64.StdEncoding.EncodeToString(f.frame(p.T, x.held, x.spoil))
		got, err := chromedp.Run(p.ctx, chromedp.Evaluate[look](fmt.Sprintf(`lookAt(%q, %d)`, text, x.side), chromedp.EvalAwaitPromise))
		if err != nil {
			p.Fatal(err)
		}
		px := c.PxPerMM(r2.Scale(0.5, f.found.Layout.Paper))
		if x.side > 0 {
			px *= float64(x.side) / filmWide
		}
		if got.Word != x.word || math.Abs(got.Scale/px-1) > 0.02 || math.Abs(got.Tilt-math.Abs(x.held.tilt)) > 2 || math.Cos(got.Towards-x.towards) < 0.98 {
			p.Errorf("held as %+v: %+v, want %s towards %.1f at %.2f px/mm", x.held, got, x.word, x.towards, px)
		}
	}
}

// told holds what was said, one thing after another, to how the phone was held: too
// high, leaning, too far to the right, a second each, moving for another.
func told(t *testing.T, looks []look, l mat.Layout, held []pose) {
	t.Helper()
	var words []string
	high := held[0].camera(l)
	px := high.PxPerMM(r2.Vec{X: l.Paper.X / 2, Y: l.Paper.Y / 2})
	for _, seen := range looks {
		if len(words) == 0 || words[len(words)-1] != seen.Word {
			words = append(words, seen.Word)
		}
		if seen.Word == "lower" && math.Abs(seen.Scale/px-1) > 0.02 {
			t.Errorf("the page sees %.2f px/mm, it is %.2f", seen.Scale, px)
		}
		if seen.Word == "lift" && math.Abs(seen.Tilt-held[1].tilt) > 2 {
			t.Errorf("the page sees a tilt of %.1f degrees, it is %.0f", seen.Tilt, held[1].tilt)
		}
	}
	at := 0
	for _, want := range []string{"lower", "lift", "left", "still", "well"} {
		next := slices.Index(words[at:], want)
		if next < 0 {
			t.Errorf("%s is not told, or not in its turn: %v", want, words)
			continue
		}
		at += next
	}
	span := (looks[len(looks)-1].At - looks[0].At) / 1000
	if span < float64(len(held)+1) {
		t.Errorf("the shutter went off after %.1f s", span)
	}
	t.Logf("%d looks in %.1f s; told %s", len(looks), span, strings.Join(words, ", "))
}
