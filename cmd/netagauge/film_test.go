package main

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/disintegration/imaging"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/fatal"
	"netagauge/internal/see/mat"
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
	fatal.If(t, err)
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
	fatal.If(t, jpeg.Encode(&b, out, &jpeg.Options{Quality: 88}))
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
	fatal.If(t, os.WriteFile(path, f.Bytes(), 0o600))
	return path
}
