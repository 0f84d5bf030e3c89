package vision

import (
	"image"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// ramp is a picture whose three planes are known everywhere.
func ramp(w, h int, ratio image.YCbCrSubsampleRatio) *image.YCbCr {
	p := image.NewYCbCr(image.Rect(0, 0, w, h), ratio)
	for y := range h {
		for x := range w {
			p.Y[p.YOffset(x, y)] = uint8(x + y)
			p.Cb[p.COffset(x, y)] = 90
			p.Cr[p.COffset(x, y)] = 160
		}
	}
	return p
}

// A shift by (2.5, 1) of the plane x + y adds 3.5 everywhere, whatever the
// subsampling.
func TestWarpShifts(t *testing.T) {
	for _, ratio := range []image.YCbCrSubsampleRatio{image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio420, image.YCbCrSubsampleRatio422} {
		src := ramp(80, 60, ratio)
		l := NewLattice(40, 30, 16, func(p r2.Vec) r2.Vec { return r2.Add(p, r2.Vec{X: 2.5, Y: 1}) })
		out, err := Warp(src, l)
		if err != nil {
			t.Fatal(err)
		}
		for y := range 30 {
			for x := range 40 {
				if got, want := float64(out.Y[y*out.YStride+x]), float64(x+y)+3.5; math.Abs(got-want) > 0.51 {
					t.Fatalf("%v: pixel %d,%d is %g, want %g", ratio, x, y, got, want)
				}
			}
		}
		if out.Cb[100] != 90 || out.Cr[100] != 160 {
			t.Errorf("%v: colour became %d, %d", ratio, out.Cb[100], out.Cr[100])
		}
	}
}

func TestContoursOfSquare(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 60, 50))
	for y := 10; y < 30; y++ {
		for x := 15; x < 45; x++ {
			m.Pix[y*m.Stride+x] = 255
		}
	}
	m.Pix[5*m.Stride+5] = 255 // a speck
	cs, err := Contours(m, 2, 2)
	if err != nil {
		t.Fatal(err)
	}
	// The border runs through pixel centres: (30-1) × (20-1), corners rounded by
	// the opening.
	if len(cs) != 1 || math.Abs(cs[0].Area-29*19) > 12 {
		t.Fatalf("contours %v, want one of about %d px²", cs, 29*19)
	}
}

// What OpenCV would abort the process on comes back as an error.
func TestBadArguments(t *testing.T) {
	empty := image.NewGray(image.Rect(0, 0, 0, 0))
	if _, err := Contours(empty, 2, 2); err == nil {
		t.Error("an empty mask gives no error")
	}
	if _, err := DetectTags(empty, 1, Faint); err == nil {
		t.Error("tags are sought in an empty picture")
	}
	if _, err := DetectTags(image.NewGray(image.Rect(0, 0, 100, 100)), 0.5, Faint); err == nil {
		t.Error("decimate 0.5 is taken")
	}
	src := ramp(80, 60, image.YCbCrSubsampleRatio420)
	for name, l := range map[string]Lattice{
		"no size": {},
		"no step": {Width: 10, Height: 10},
		"points":  {Width: 10, Height: 10, Step: 8, Cols: 3, Rows: 3},
		"cut":     {Width: 20, Height: 10, Step: 8, Cols: 3, Rows: 3, Points: make([]r2.Vec, 9)},
	} {
		if _, err := Warp(src, l); err == nil {
			t.Errorf("%s: lattice is taken", name)
		}
	}
	if _, err := Warp(image.NewYCbCr(image.Rect(0, 0, 0, 0), image.YCbCrSubsampleRatio420), NewLattice(4, 4, 2, func(p r2.Vec) r2.Vec { return p })); err == nil {
		t.Error("an empty source is warped")
	}
	if _, err := Smooth(src, 1); err == nil {
		t.Error("a subsampled picture is smoothed")
	}
	if _, err := Smooth(ramp(80, 60, image.YCbCrSubsampleRatio444), 0); err == nil {
		t.Error("radius 0 is taken")
	}
}

// Places that are no numbers or far away must not end the process.
func TestWarpFarAway(t *testing.T) {
	src := ramp(80, 60, image.YCbCrSubsampleRatio420)
	for _, v := range []float64{math.NaN(), math.Inf(1), 1e12, -1e12} {
		if _, err := Warp(src, NewLattice(20, 20, 8, func(r2.Vec) r2.Vec { return r2.Vec{X: v, Y: v} })); err != nil {
			t.Errorf("%g: %v", v, err)
		}
	}
}

func TestSmoothKeepsFlat(t *testing.T) {
	p := ramp(30, 20, image.YCbCrSubsampleRatio444)
	out, err := Smooth(p, 2)
	if err != nil {
		t.Fatal(err)
	}
	if out.Cb[35] != 90 || math.Abs(float64(out.Y[10*out.YStride+10])-20) > 1 {
		t.Errorf("smoothing a ramp moves it: %d", out.Y[10*out.YStride+10])
	}
}
