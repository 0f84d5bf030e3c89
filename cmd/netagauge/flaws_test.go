package main

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"
	"testing"

	"github.com/disintegration/imaging"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// asYCbCr is a picture the geometry below can be applied to.
func asYCbCr(img *image.NRGBA) *image.YCbCr {
	p := image.NewYCbCr(img.Rect, image.YCbCrSubsampleRatio444)
	for i := range p.Y {
		c := img.Pix[4*i:]
		p.Y[i], p.Cb[i], p.Cr[i] = color.RGBToYCbCr(c[0], c[1], c[2])
	}
	return p
}

// found is the mat in the sample photo: with it a flaw can be made as the
// physics would, by looking up where each new pixel's place on the mat was.
func found(t *testing.T, p *image.YCbCr) mat.Found {
	t.Helper()
	f, err := mat.Find(&image.Gray{Pix: p.Y, Stride: p.YStride, Rect: p.Rect}, 26)
	fatal.If(t, err)
	return f
}

func warped(t *testing.T, p *image.YCbCr, at func(r2.Vec) r2.Vec) image.Image {
	t.Helper()
	out, err := vision.Warp(p, vision.NewLattice(p.Rect.Dx(), p.Rect.Dy(), 8, at))
	fatal.If(t, err)
	return out
}

// tilted is the tray as a camera leaning by so many degrees sees it, far enough
// away to hold the whole mat.
func tilted(t *testing.T, degrees float64) image.Image {
	p := asYCbCr(samplePhoto(t))
	f := found(t, p)
	cam := cameraOver(f.Layout, p.Rect.Dx(), degrees)
	cam.T = r3.Add(cam.T, r3.Vec{Z: 120})
	return warped(t, p, func(px r2.Vec) r2.Vec { return f.Camera.Project(cam.Unproject(px, 0), 0) })
}

// bent is the tray with one end of the mat lifted off the table, in a curve.
func bent(t *testing.T, liftMM float64) image.Image {
	p := asYCbCr(samplePhoto(t))
	f := found(t, p)
	height := func(at r2.Vec) float64 {
		x := math.Max(0, at.X/f.Layout.Paper.X-0.3) / 0.7
		return liftMM * x * x
	}
	return warped(t, p, func(px r2.Vec) r2.Vec {
		at := f.Camera.Unproject(px, 0)
		for range 10 { // the place whose own height is seen at this pixel
			at = f.Camera.Unproject(px, height(at))
		}
		return f.Camera.Project(at, 0)
	})
}

// bare is the tray with its slices painted over in the field's colour, sampled
// in a corner of the field.
func bare(t *testing.T) image.Image {
	img := samplePhoto(t)
	f := found(t, asYCbCr(img))
	at := f.Camera.Project(r2.Add(f.Layout.Field.Min, r2.Vec{X: 4, Y: 4}), 0)
	blue := img.NRGBAAt(int(at.X), int(at.Y))
	out := imaging.Clone(img)
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			q := f.Camera.Unproject(r2.Vec{X: float64(x), Y: float64(y)}, 0)
			if q.X > f.Layout.Field.Min.X+2 && q.X < f.Layout.Field.Max.X-2 && q.Y > f.Layout.Field.Min.Y+2 && q.Y < f.Layout.Field.Max.Y-2 {
				out.SetNRGBA(x, y, blue)
			}
		}
	}
	return out
}

// covered is the tray with a cloth over so many of the mat's tags, the last ones.
func covered(t *testing.T, tags int) image.Image {
	img := samplePhoto(t)
	f := found(t, asYCbCr(img))
	out := imaging.Clone(img)
	all := f.Layout.Tags
	for _, tag := range all[len(all)-tags:] {
		middle := r2.Scale(0.5, r2.Add(tag.Corners[0], tag.Corners[2]))
		at := f.Camera.Project(middle, 0)
		half := r2.Norm(r2.Sub(f.Camera.Project(tag.Corners[0], 0), at))
		for y := int(at.Y - half); y < int(at.Y+half); y++ {
			for x := int(at.X - half); x < int(at.X+half); x++ {
				out.SetNRGBA(x, y, color.NRGBA{R: 205, G: 200, B: 190, A: 255})
			}
		}
	}
	return out
}

// printedInGray is the tray on a mat whose blue came out gray, as light as before.
func printedInGray(t *testing.T) image.Image {
	p := asYCbCr(samplePhoto(t))
	for i := range p.Y {
		if p.Cb[i] > 138 {
			p.Cb[i], p.Cr[i] = 128, 128
		}
	}
	return p
}

// A tray seen at a slant, on a bent mat, or bare, is refused for that reason.
func TestRefusedScenes(t *testing.T) {
	for name, c := range map[string]struct {
		img  image.Image
		code string
	}{
		"tilted past 35°": {tilted(t, 42), "tilted"},
		"curled mat":      {bent(t, 25), "bent-mat"},
		"empty field":     {bare(t), "no-pieces"},
		"burnt out":       {scaled(samplePhoto(t), 6), "too-bright"},
	} {
		t.Run(name, func(t *testing.T) {
			code, r := checked(t, file(t, "tray.jpg", c.img))
			if code != command.ExitRefused || len(r.Pieces) != 0 {
				t.Errorf("exit code %d, status %q, %d pieces; want 3, refused, none", code, r.Status, len(r.Pieces))
			}
			has := false
			for _, p := range r.Problems {
				has = has || p.Code == c.code && p.Remedy != ""
			}
			if !has {
				t.Errorf("problems %+v, want %q with a remedy; mat %+v", r.Problems, c.code, r.Mat)
			}
		})
	}
}

// beside is a photo with the same mat twice, side by side.
func beside(of image.Image) image.Image {
	b := of.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, 2*b.Dx(), b.Dy()))
	for _, x := range []int{0, b.Dx()} {
		draw.Draw(out, image.Rect(x, 0, x+b.Dx(), b.Dy()), of, b.Min, draw.Src)
	}
	return out
}

// Of two mats one is measured or none, and the photo is told to show two, never that the
// mat is bent.
func TestTwoMatsAreSaid(t *testing.T) {
	both := beside(samplePhoto(t))
	for _, img := range []image.Image{both, imaging.Resize(both, both.Bounds().Dx()*2/3, 0, imaging.Lanczos)} {
		code, r := checked(t, file(t, "tray.jpg", img))
		if len(r.Problems) != 1 || r.Problems[0].Code != "two-mats" || r.Problems[0].Remedy == "" {
			t.Errorf("exit code %d, problems %+v, want two mats", code, r.Problems)
		}
		if n := len(r.MeasuredPieces()); n != 0 && n != 5 {
			t.Errorf("%d pieces measured, want those of one mat or none", n)
		}
	}
}

// The same flaws in a small measure leave every slice measured, with a warning
// from 28° on.
func TestSlightFlawsAreMeasured(t *testing.T) {
	for name, c := range map[string]struct {
		img   image.Image
		codes []string
	}{
		"upright":           {tilted(t, 0), nil},
		"tilted by 20°":     {tilted(t, 20), nil},
		"tilted by 31°":     {tilted(t, 31), []string{"tilted"}},
		"lifted by 2 mm":    {bent(t, 2), nil},
		"lifted by 15 mm":   {bent(t, 15), []string{"bent-mat"}},
		"a little brighter": {scaled(samplePhoto(t), 1.3), nil},
		"few tags covered":  {covered(t, 3), nil},
		"half of the mat":   {covered(t, 10), []string{"covered-mat"}},
	} {
		t.Run(name, func(t *testing.T) {
			_, r := checked(t, file(t, "tray.jpg", c.img))
			if n := len(r.MeasuredPieces()); n != 5 {
				t.Errorf("%d pieces measured, want 5", n)
			}
			var codes []string
			for _, p := range r.Problems {
				codes = append(codes, p.Code)
			}
			if !slices.Equal(codes, c.codes) {
				t.Errorf("problems %q, want %q", codes, c.codes)
			}
		})
	}
}

// On a mat printed in gray the palest slice is missed, and it is said that this may be.
func TestGrayFieldIsSaid(t *testing.T) {
	_, r := checked(t, file(t, "tray.jpg", printedInGray(t)))
	if len(r.Problems) != 1 || r.Problems[0].Code != "gray-field" || r.Problems[0].Remedy == "" {
		t.Errorf("problems %+v, want the gray field", r.Problems)
	}
	if n := len(r.MeasuredPieces()); n < 4 {
		t.Errorf("%d pieces measured, want 4 of 5", n)
	}
}
