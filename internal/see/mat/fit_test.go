package mat

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// seen are the corners of a mat's tags as a camera sees them, with noise of so many px.
func seenBy(c Camera, l Layout, noisePx float64) []match {
	rnd := rand.New(rand.NewPCG(7, 7))
	var ms []match
	for _, t := range l.Tags {
		for _, p := range t.Corners {
			q := c.Project(p, 0)
			ms = append(ms, match{p, r2.Add(q, r2.Vec{X: noisePx * rnd.NormFloat64(), Y: noisePx * rnd.NormFloat64()})})
		}
	}
	return ms
}

// phone is a camera 430 mm above an A3 mat, tilted a little, its picture w × h px.
func phone(w, h int, f35 float64) (Camera, prior, Layout) {
	l, _ := ByTag(0)
	pr := prior{width: w, height: h, f: f35 * math.Hypot(float64(w), float64(h)) / diagonal35, fSpread: 0.05}
	c := Camera{F: 1.02 * pr.f, Centre: pr.middle(), K1: 0.02, K2: -0.01}
	c.R = turned([3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, r3.Vec{X: 0.12, Y: -0.08, Z: 0.05})
	mid := r3.Vec{X: l.Paper.X / 2, Y: l.Paper.Y / 2}
	c.T = r3.Sub(r3.Vec{Z: 430}, r3.Vec{X: r3.Dot(c.R[0], mid), Y: r3.Dot(c.R[1], mid), Z: r3.Dot(c.R[2], mid)})
	return c, pr, l
}

// Corners decide which lens it was: each must be recognised, and places on the mat
// must come back within a twentieth of a millimetre.
func TestLensIsChosenByEvidence(t *testing.T) {
	plain, pr, l := phone(4032, 3024, 26)
	wide, widePr, _ := phone(4032, 3024, 15)
	wide.K1, wide.K2, wide.K3 = -0.06, 0.1, -0.25
	crop, cropPr := plain, pr
	crop.Centre.X -= 700 // a sixth cut off on the left
	cropPr.width -= 700
	cropPr.f *= cropPr.diagonal() / pr.diagonal()
	drawn := plain
	drawn.Wider = 0.03
	shift := plain
	shift.Centre = r2.Add(shift.Centre, r2.Vec{X: 25, Y: -20}) // 0.6 % of the diagonal
	for _, c := range []struct {
		name string
		cam  Camera
		pr   prior
		want lens
	}{
		{"a phone", plain, pr, lens{}},
		{"no focal length recorded", plain, prior{width: pr.width, height: pr.height, f: 0.9 * pr.f, fSpread: 0.2}, lens{}},
		{"an ultra-wide lens", wide, widePr, lens{third: true}},
		{"a lens off its middle", shift, pr, lens{centre: shifted}},
		{"a cropped photo", crop, cropPr, lens{centre: cropped}},
		{"a photo stretched by 3 %", drawn, pr, lens{wider: true}},
	} {
		ms := seenBy(c.cam, l, 0.1)
		fit, err := fitCamera(ms, c.pr)
		if err != nil || fit.lens != c.want {
			t.Errorf("%s: taken as %+v (%v), want %+v", c.name, fit.lens, err, c.want)
			continue
		}
		got := fit.cam
		for _, p := range []r2.Vec{{X: 60, Y: 60}, {X: 210, Y: 148}, {X: 360, Y: 240}} {
			if d := r2.Norm(r2.Sub(got.Unproject(c.cam.Project(p, 0), 0), p)); d > 0.05 {
				t.Errorf("%s: a place on the mat comes back %.3f mm off", c.name, d)
			}
		}
		if d := math.Abs(got.Eye().Z - c.cam.Eye().Z); d > 2*fit.heightU || fit.heightU > 45 {
			t.Errorf("%s: height is %.1f mm off, said to be known to ± %.1f", c.name, d, 2*fit.heightU)
		}
	}
}

// Unproject undoes Project for strong distortion and a stretched photo too, at any
// height.
func TestUnprojectUndoesProject(t *testing.T) {
	c, _, _ := phone(4032, 3024, 15)
	c.K1, c.K2, c.K3, c.Wider = -0.12, 0.06, -0.04, -0.08
	for _, p := range []r2.Vec{{X: 5, Y: 5}, {X: 210, Y: 148}, {X: 415, Y: 290}} {
		for _, h := range []float64{0, 6} {
			if d := r2.Norm(r2.Sub(c.Unproject(c.Project(p, h), h), p)); d > 1e-3 {
				t.Errorf("%v at %g mm comes back %.4f mm off", p, h, d)
			}
		}
	}
}

// A photo from which a side or a corner was cut away says so, or its height is as
// unsure as it is wrong: a recorded focal length must not be strained by a third
// before a middle that is cut away is thought of.
func TestCroppedHeightIsHonest(t *testing.T) {
	for _, tilt := range []r3.Vec{{X: 0.12, Y: -0.2, Z: 0.05}, {X: -0.05, Y: 0.1}, {X: 0.2, Y: 0.15, Z: 3}} {
		whole, pr, l := phone(2016, 1512, 26)
		whole.K1, whole.K2 = 0.02, 0.005
		mid := r3.Vec{X: l.Paper.X / 2, Y: l.Paper.Y / 2}
		whole.R = turned([3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, tilt)
		whole.T = r3.Sub(r3.Vec{Z: 450}, r3.Vec{X: r3.Dot(whole.R[0], mid), Y: r3.Dot(whole.R[1], mid), Z: r3.Dot(whole.R[2], mid)})
		for _, cut := range [][4]float64{{.1, 0, 0, 0}, {0, 0, .2, 0}, {0, .15, 0, 0}, {.15, 0, 0, .15}, {0, .2, .2, 0}} { // left, top, right, bottom
			w, h := float64(pr.width), float64(pr.height)
			cam, known := whole, pr
			cam.Centre = r2.Sub(cam.Centre, r2.Vec{X: cut[0] * w, Y: cut[1] * h})
			known.width, known.height = int(w*(1-cut[0]-cut[2])), int(h*(1-cut[1]-cut[3]))
			known.f *= known.diagonal() / pr.diagonal()
			fit, err := fitCamera(seenBy(cam, l, cornerPx), known)
			if err != nil {
				t.Fatal(err)
			}
			if off := math.Abs(fit.cam.Eye().Z - cam.Eye().Z); off > 2*fit.heightU {
				t.Errorf("tilt %v, cut %v: taken as %+v, the height is %.0f mm off, said to be known to ± %.0f", tilt, cut, fit.lens, off, 2*fit.heightU)
			}
		}
	}
}
