package parallax

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// slab is a face 40 by 80 mm, 4 mm up, whose walls lean outward along x, as an eye
// far above sees it: its outline, and its looks, a wall being darker by a share.
func slab(lean, darker float64) ([]r2.Vec, Looks) {
	box := r2.Box{Min: r2.Vec{X: -20, Y: -40}, Max: r2.Vec{X: 20 + 4*lean, Y: 40}}
	corners := []r2.Vec{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}}
	var o []r2.Vec
	for i, p := range corners {
		for k := range 50 {
			o = append(o, r2.Add(p, r2.Scale(float64(k)/50, r2.Sub(corners[(i+1)%4], p))))
		}
	}
	looks := Looks{PxPerMM: 8, X0: -200, Y0: -400, Wide: 480, High: 800}
	for k := range looks.Wide * looks.High {
		x, y := float64(looks.X0+k%looks.Wide)/8, float64(looks.Y0+k/looks.Wide)/8
		rough := 0.1 * math.Sin(3*x) * math.Cos(2*y) // the face's own pattern
		if x > 20 {
			rough -= darker
		}
		looks.At = append(looks.At, Look{float32(4 + rough), -0.2, 0.3})
	}
	return o, looks
}

// A wall that is darker speaks for the lean that was drawn, more than for any
// other; one that is brighter, or none, speaks for no wall that would be seen.
func TestStepsTellTheLean(t *testing.T) {
	far := Eye{Height: 1e6}
	n, m := r2.Vec{X: 1}, r2.Vec{Y: 1}
	for _, c := range []struct {
		name         string
		lean, darker float64
		seen         bool
	}{{"darker", 1.2, 0.2, true}, {"brighter", 1.2, -0.2, false}, {"alike", 1.2, 0, false}, {"steep", 0.6, 0.2, true}} {
		outline, looks := slab(c.lean, c.darker)
		tells := RimOf(outline, n, m).Steps(looks, far, 4)
		drawn := tells(r2.Vec{X: c.lean})
		if (drawn > 2) != c.seen || !c.seen && drawn > -1 {
			t.Errorf("%s: the lean drawn has log odds of %.2f", c.name, drawn)
		}
		for _, off := range []r2.Vec{{X: 0.5}, {X: -c.lean}, {X: 2.4 - c.lean}, {X: -2 * c.lean}} {
			if other := tells(r2.Add(r2.Vec{X: c.lean}, off)); c.seen && other > drawn-1 {
				t.Errorf("%s: the lean %.1f off has log odds of %.2f, the one drawn %.2f", c.name, off.X, other, drawn)
			}
		}
		if up := tells(r2.Vec{}); up != 0 {
			t.Errorf("%s: upright walls, which are not seen, have log odds of %.2f", c.name, up)
		}
	}
}

// Whichever way an outline goes around, its normals face outward.
func TestRimFacesOutward(t *testing.T) {
	outline, _ := slab(0, 0)
	back := make([]r2.Vec, len(outline))
	for i, p := range outline {
		back[len(back)-1-i] = p
	}
	for _, o := range [][]r2.Vec{outline, back} {
		rim := RimOf(o, r2.Vec{X: 1}, r2.Vec{Y: 1})
		if want := int(240 / rimStep); len(rim) < want-2 || len(rim) > want+2 {
			t.Errorf("%d points, want about %d", len(rim), want)
		}
		for _, p := range rim {
			if r2.Dot(p.at, p.normal) <= 0 {
				t.Fatalf("at %.1f the outline faces %.2f", p.at, p.normal)
			}
		}
	}
}

// By similar triangles a point 4 mm up, 100 mm aside of an eye 404 mm up, is seen 1 mm
// farther out than what lies below it: so much of an upright wall shows that faces the
// eye, and a rounded edge changes the light farther in.
func TestWhereTheUpperRimIsSeen(t *testing.T) {
	eye := Eye{Foot: r2.Vec{X: 20}, Height: 404}
	at := r2.Vec{X: 120, Y: 7}
	for faces, want := range map[float64]upperPoint{
		-1: {at: r2.Vec{X: 121 + edgeBreadth, Y: 7.07}, depth: 1},
		1:  {at: r2.Vec{X: 121 - edgeBreadth, Y: 7.07}, depth: -1},
	} {
		got := Rim{{at: at, normal: r2.Vec{X: faces}}}.seen(eye, 4)
		if p := got.points[0]; r2.Norm(r2.Sub(p.at, want.at)) > 1e-9 || math.Abs(p.depth-want.depth) > 1e-9 {
			t.Errorf("facing %+.0f it is seen at %.3f, %.3f deep; want %.3f, %.3f", faces, p.at, p.depth, want.at, want.depth)
		}
		if math.Abs(got.moved-4.04) > 1e-9 {
			t.Errorf("a lean of 1 is seen to move it by %.3f mm, want 4.04", got.moved)
		}
	}
}
