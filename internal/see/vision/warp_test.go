package vision

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gocv.io/x/gocv"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/fatal"
)

// Every pixel is what OpenCV's remap gives, bilinear and with the edge repeated, for
// a picture of noise turned, drawn out and moved so that a part of it is not seen.
func TestWarpIsRemap(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, ratio := range []image.YCbCrSubsampleRatio{
		image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio420, image.YCbCrSubsampleRatio422,
		image.YCbCrSubsampleRatio440, image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410,
	} {
		src := image.NewYCbCr(image.Rect(0, 0, 203, 151), ratio)
		for _, p := range [][]byte{src.Y, src.Cb, src.Cr} {
			for i := range p {
				p[i] = uint8(random.Uint32())
			}
		}
		l := NewLattice(190, 170, 16, func(p r2.Vec) r2.Vec {
			return r2.Vec{X: -7.3 + 1.13*p.X + 0.21*p.Y + 0.001*p.X*p.Y, Y: 9.7 - 0.3*p.X + 1.07*p.Y}
		})
		got, err := Warp(src, l)
		if err != nil {
			t.Fatal(err)
		}
		sx, sy := chromaStep(src)
		cw, ch := (203+sx-1)/sx, (151+sy-1)/sy
		for name, c := range map[string]struct {
			pix, got             []byte
			w, h, stride, sx, sy int
		}{
			"Y": {src.Y, got.Y, 203, 151, src.YStride, 1, 1}, "Cb": {src.Cb, got.Cb, cw, ch, src.CStride, sx, sy}, "Cr": {src.Cr, got.Cr, cw, ch, src.CStride, sx, sy},
		} {
			if want := remapped(t, c.pix, c.w, c.h, c.stride, l, float64(c.sx), float64(c.sy)); !slices.Equal(c.got, want) {
				t.Errorf("%v: %s differs", ratio, name)
			}
		}
	}
}

// With half of its colour a picture is what it is with all of it: each sample is about
// the mean of four, where colours change slowly.
func TestWarpHalf(t *testing.T) {
	src := image.NewYCbCr(image.Rect(0, 0, 200, 150), image.YCbCrSubsampleRatio420)
	for i := range src.Y {
		src.Y[i] = uint8(i * 7)
	}
	for i := range src.Cb {
		x, y := float64(i%src.CStride), float64(i/src.CStride)
		src.Cb[i], src.Cr[i] = uint8(128+60*math.Sin(x/9+y/14)), uint8(2*x+y/3)
	}
	l := NewLattice(101, 75, 16, func(p r2.Vec) r2.Vec {
		return r2.Vec{X: 12 + 1.4*p.X + 0.3*p.Y, Y: 15 - 0.2*p.X + 1.3*p.Y}
	})
	whole, err := Warp(src, l)
	fatal.If(t, err)
	half, err := WarpHalf(src, l)
	fatal.If(t, err)
	if !slices.Equal(whole.Y, half.Y) {
		t.Error("its brightness is another")
	}
	for y := 0; y < 74; y += 2 {
		for x := 0; x < 100; x += 2 {
			k, i := y/2*half.CStride+x/2, y*whole.CStride+x
			for _, p := range [2][2][]byte{{half.Cb, whole.Cb}, {half.Cr, whole.Cr}} {
				four := int(p[1][i]) + int(p[1][i+1]) + int(p[1][i+whole.CStride]) + int(p[1][i+whole.CStride+1])
				if off := 4*int(p[0][k]) - four; off < -6 || off > 6 {
					t.Fatalf("colour at %d, %d is %d, the mean of four %.2f", x, y, p[0][k], float64(four)/4)
				}
			}
		}
	}
	l.Step = 15
	if _, err := WarpHalf(src, l); err == nil {
		t.Error("a step that is odd is taken")
	}
}

// remapped is one plane through OpenCV, its map as wide as the wanted picture.
func remapped(t *testing.T, pix []byte, w, h, stride int, l Lattice, sx, sy float64) []byte {
	t.Helper()
	src, err := gocv.NewMatFromBytes(h, w, gocv.MatTypeCV8UC1, packed(pix, w, h, stride))
	if err != nil {
		t.Fatal(err)
	}
	mx, my, out := gocv.NewMatWithSize(l.Height, l.Width, gocv.MatTypeCV32FC1), gocv.NewMatWithSize(l.Height, l.Width, gocv.MatTypeCV32FC1), gocv.NewMat()
	for _, m := range []*gocv.Mat{&src, &mx, &my, &out} {
		defer m.Close()
	}
	for y := range l.Height {
		for x := range l.Width {
			mean := func(from, to r2.Vec, share float64) r2.Vec {
				return r2.Add(r2.Scale(1-share, from), r2.Scale(share, to))
			}
			k, fx, fy := y/l.Step*l.Cols+x/l.Step, float64(x%l.Step)/float64(l.Step), float64(y%l.Step)/float64(l.Step)
			p := mean(mean(l.Points[k], l.Points[k+l.Cols], fy), mean(l.Points[k+1], l.Points[k+l.Cols+1], fy), fx)
			mx.SetFloatAt(y, x, float32((p.X+0.5)/sx-0.5))
			my.SetFloatAt(y, x, float32((p.Y+0.5)/sy-0.5))
		}
	}
	gocv.Remap(src, &out, &mx, &my, gocv.InterpolationLinear, gocv.BorderReplicate, color.RGBA{})
	data, err := out.DataPtrUint8()
	if err != nil {
		t.Fatal(err)
	}
	return slices.Clone(data)
}

// Places that are no numbers, or lie farther off than any picture, show its edge and
// read nothing beyond it.
func TestWarpFarOff(t *testing.T) {
	src := image.NewYCbCr(image.Rect(0, 0, 40, 30), image.YCbCrSubsampleRatio420)
	for i := range src.Y {
		src.Y[i] = 7
	}
	for _, far := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e300} {
		got, err := Warp(src, NewLattice(40, 30, 16, func(p r2.Vec) r2.Vec {
			if p.X > 10 {
				return r2.Vec{X: far, Y: -far}
			}
			return p
		}))
		if err != nil {
			t.Fatal(err)
		}
		if slices.ContainsFunc(got.Y, func(v byte) bool { return v != 7 }) {
			t.Errorf("at %g something else than the picture is seen", far)
		}
	}
}

// Halved is the mean of four, rounded, an odd edge left out.
func TestHalved(t *testing.T) {
	g := image.NewGray(image.Rect(0, 0, 67, 5))
	for i := range g.Pix {
		g.Pix[i] = uint8(i * i)
	}
	h := Halved(g)
	if h.Rect != image.Rect(0, 0, 33, 2) {
		t.Fatal(h.Rect)
	}
	for i, v := range h.Pix {
		a := i/33*2*67 + i%33*2
		if want := (int(g.Pix[a]) + int(g.Pix[a+1]) + int(g.Pix[a+67]) + int(g.Pix[a+68]) + 2) / 4; int(v) != want {
			t.Fatalf("pixel %d is %d, want %d", i, v, want)
		}
	}
}
