package serve

import (
	"encoding/json"
	"image"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/disintegration/imaging"
	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/fatal"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// finder is tags.wasm as a phone runs it, here without a browser.
type finder struct {
	testing.TB
	memory           api.Memory
	room, find, list api.Function
}

func newFinder(t testing.TB) finder {
	t.Helper()
	text, err := staticFiles.ReadFile("static/tags.wasm")
	fatal.If(t, err)
	r := wazero.NewRuntime(t.Context())
	t.Cleanup(func() { r.Close(t.Context()) })
	m, err := r.Instantiate(t.Context(), text)
	fatal.If(t, err)
	return finder{t, m.Memory(), m.ExportedFunction("room"), m.ExportedFunction("find"), m.ExportedFunction("list")}
}

func (f finder) call(what api.Function, with ...uint64) uint32 {
	f.Helper()
	out, err := what.Call(f.Context(), with...)
	fatal.If(f, err)
	return uint32(out[0])
}

// in finds the tags of a picture, by id.
func (f finder) in(g *image.Gray, decimate float32) map[int][4]r2.Vec {
	f.Helper()
	at := f.call(f.room, uint64(g.Rect.Dx()), uint64(g.Rect.Dy()))
	if at == 0 || !f.memory.Write(at, g.Pix) {
		f.Fatal("no room for the picture")
	}
	n, at := f.call(f.find, api.EncodeF32(decimate)), f.call(f.list)
	out := map[int][4]r2.Vec{}
	number := func(i uint32) float64 {
		v, ok := f.memory.ReadFloat32Le(at + 4*i)
		if !ok {
			f.Fatal("the list lies outside the memory")
		}
		return float64(v)
	}
	for i := range n {
		var corners [4]r2.Vec
		for k := range corners {
			corners[k] = r2.Vec{X: number(9*i + 1 + 2*uint32(k)), Y: number(9*i + 2 + 2*uint32(k))}
		}
		out[int(number(9*i))] = corners
	}
	return out
}

// looked is a sample photo as small as the page looks at.
func looked(t testing.TB, path string) *image.Gray {
	t.Helper()
	src, err := imaging.Open(path, imaging.AutoOrientation(true))
	fatal.If(t, err)
	small := imaging.Fit(src, 1280, 1280, imaging.Box)
	g := image.NewGray(small.Rect)
	for i := range g.Pix {
		p := small.Pix[4*i:]
		g.Pix[i] = uint8((77*int(p[0]) + 150*int(p[1]) + 29*int(p[2])) >> 8)
	}
	return g
}

// What the page finds is what the library finds that the program is linked with: the
// same tags, their corners within half a pixel.
func TestPageFindsTheTagsOfTheLibrary(t *testing.T) {
	f := newFinder(t)
	for _, name := range []string{"tray-a4", "tray-triangles", "tray-card", "block"} {
		g := looked(t, filepath.Join("../../testdata/photos", name+".jpg"))
		for _, decimate := range []float32{1, 1.5, 2} {
			want, err := vision.DetectTags(g, float64(decimate), vision.Faint)
			fatal.If(t, err)
			got := f.in(g, decimate)
			if len(got) != len(want) || len(want) < 20 {
				t.Errorf("%s by %g: %d tags, the library finds %d", name, decimate, len(got), len(want))
			}
			var worst float64
			for _, tag := range want {
				corners, ok := got[tag.ID]
				if !ok {
					t.Errorf("%s by %g: tag %d is not found", name, decimate, tag.ID)
					continue
				}
				for k := range corners {
					worst = math.Max(worst, r2.Norm(r2.Sub(corners[k], tag.Corners[k])))
				}
			}
			if worst > 0.5 {
				t.Errorf("%s by %g: a corner lies %.2f px from the library's", name, decimate, worst)
			}
			t.Logf("%s by %g: %d tags, corners within %.4f px", name, decimate, len(got), worst)
		}
	}
}

// One picture after another, of any size, takes no more memory than the largest.
func TestTagsInAnyPicture(t *testing.T) {
	f := newFinder(t)
	for _, size := range []image.Point{{640, 480}, {16, 16}, {17, 31}, {333, 1000}} {
		if got := f.in(image.NewGray(image.Rectangle{Max: size}), 1.5); len(got) != 0 {
			t.Errorf("a black picture of %v has tags: %v", size, got)
		}
	}
	g := looked(t, "../../testdata/photos/tray-a4.jpg")
	f.in(g, 1.5)
	before := f.memory.Size()
	start := time.Now()
	for range 10 {
		f.in(g, 1.5)
	}
	t.Logf("%v a picture, %d MB", (time.Since(start) / 10).Round(time.Millisecond), f.memory.Size()>>20)
	if after := f.memory.Size(); after != before {
		t.Errorf("ten pictures more take %d bytes more", after-before)
	}
}

// The page learns every mat from the one rule of them, and the limits of a photo from
// those that it is measured by. WebAssembly may run in the worker alone.
func TestWhatTheWorkerLoads(t *testing.T) {
	s := newSite(t)
	v := s.visitor()
	var told struct {
		Tilt float64 `json:"tilt_deg"`
		Px   float64 `json:"px_per_mm"`
		Mats []struct {
			Tags map[string][4]float64
		}
	}
	got := v.get("/static/mats.json")
	if err := json.Unmarshal([]byte(got.body), &told); err != nil || told.Tilt != mat.WarnTilt || told.Px != mat.WarnPxPerMM || len(told.Mats) != len(mat.Layouts()) {
		t.Fatalf("%v: %+v", err, told)
	}
	for i, l := range mat.Layouts() {
		for _, tag := range l.Tags {
			box := told.Mats[i].Tags[strconv.Itoa(tag.ID)]
			if math.Abs(box[0]-tag.Corners[0].X)+math.Abs(box[1]-tag.Corners[0].Y)+math.Abs(box[2]-tag.Corners[2].X)+math.Abs(box[3]-tag.Corners[2].Y) > 0.003 {
				t.Errorf("%s: tag %d lies at %v, want %v", l.Name, tag.ID, box, tag.Corners)
			}
		}
	}
	for path, kind := range map[string]string{"/static/tags.wasm": "application/wasm", "/static/mats.json": "application/json", "/static/look.js": "text/javascript; charset=utf-8"} {
		got := v.get(path)
		wasm := strings.Contains(got.header.Get("Content-Security-Policy"), "wasm-unsafe-eval")
		if got.header.Get("Content-Type") != kind || !strings.Contains(got.header.Get("Cache-Control"), "immutable") || wasm != (path == "/static/look.js") {
			t.Errorf("%s comes with %v", path, got.header)
		}
		if len(got.body) > 300_000 {
			t.Errorf("%s weighs %d bytes", path, len(got.body))
		}
	}
}
