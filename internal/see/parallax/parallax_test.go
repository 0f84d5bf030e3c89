package parallax

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"netagauge/internal/see/shape"
	"netagauge/internal/see/shapetest"
)

// seen is the outline, on the mat plane, of a convex face swept to its lower
// edge, as the hull of both ends' projections: the definition, not the method
// under test.
func seen(face shape.Outline, eye Eye, s Slice) []r2.Vec {
	var all shape.Outline
	k := eye.Height / (eye.Height - s.Edge)
	for _, p := range face {
		all = append(all, r2.Add(eye.Foot, r2.Scale(k, r2.Sub(p, eye.Foot))), r2.Add(p, s.Run))
	}
	return all.Hull()
}

// For any convex slice, camera and lean, taking the seen outline back gives the
// face again, and the whole is the hull of the face and its lower edge.
func TestAboveUndoesTheView(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		face := shapetest.Placed(
			shapetest.Parallelogram(rapid.Float64Range(50, 100).Draw(t, "length"), rapid.Float64Range(20, 45).Draw(t, "width"), rapid.Float64Range(-20, 20).Draw(t, "shift")),
			rapid.Float64Range(0, 180).Draw(t, "turn"), r2.Vec{X: rapid.Float64Range(30, 390).Draw(t, "x"), Y: rapid.Float64Range(30, 270).Draw(t, "y")})
		eye := Eye{Foot: r2.Vec{X: 210, Y: 150}, Height: rapid.Float64Range(250, 600).Draw(t, "height")}
		angle := rapid.Float64Range(0, 2*math.Pi).Draw(t, "lean direction")
		run := rapid.Float64Range(0, 6).Draw(t, "run")
		s := Slice{Edge: rapid.Float64Range(0.5, 8).Draw(t, "edge"), Run: r2.Vec{X: run * math.Cos(angle), Y: run * math.Sin(angle)}}
		got, err := Above(seen(face, eye, s), eye, s)
		if err != nil {
			t.Fatal(err)
		}
		if a, want := shape.Outline(got.Face).Area(), face.Area(); math.Abs(a-want) > 1e-6*want {
			t.Fatalf("face of %.4f mm² comes back as %.4f", want, a)
		}
		var both shape.Outline
		for _, p := range face {
			both = append(both, p, r2.Add(p, s.Run))
		}
		// The sweep is a union of steps of at most 1.5 mm: between them corners
		// are cut by a little.
		if a, want := shape.Outline(got.Whole).Area(), both.Hull().Area(); a > want*(1+1e-6) || a < want*0.99 {
			t.Fatalf("whole outline of %.2f mm² comes back as %.2f", want, a)
		}
	})
}

// A slice 4 mm thick, 200 mm from the foot of a camera 450 mm high, reads long
// by t/(H-t) on the far side: 1.8 mm (similar triangles).
func TestShiftByHand(t *testing.T) {
	eye := Eye{Foot: r2.Vec{}, Height: 450}
	face := shapetest.Placed(shapetest.Parallelogram(80, 35, 0), 90, r2.Vec{X: 182.5})
	outline := seen(face, eye, Slice{Edge: 4})
	far := shape.Outline(outline).Bounds().Max.X
	if math.Abs(far-200.0*450/446) > 1e-6 {
		t.Fatalf("far edge is seen at %.3f mm, want %.3f", far, 200.0*450/446)
	}
	got, err := Above(outline, eye, Slice{Edge: 4})
	if err != nil {
		t.Fatal(err)
	}
	if x := shape.Outline(got.Whole).Bounds().Max.X; math.Abs(x-200) > 1e-6 {
		t.Errorf("far edge comes back at %.4f mm, want 200", x)
	}
}

func TestAboveRefuses(t *testing.T) {
	face := shapetest.Parallelogram(80, 35, 0)
	for _, c := range []struct{ height, edge float64 }{{8, 4}, {0, 4}, {math.NaN(), 4}, {400, -1}, {400, math.NaN()}} {
		if _, err := Above(face, Eye{Height: c.height}, Slice{Edge: c.edge}); err == nil {
			t.Errorf("camera at %g mm and edge of %g mm are taken", c.height, c.edge)
		}
	}
}

// sides of a slice 35 mm wide along y at x, with one change of light each.
func sides(x, nearDepth, farDepth float64) [2]Side {
	peak := func(depth float64) []float64 {
		out := make([]float64, 59)
		for i := range out {
			d := 0.25 + 0.2*float64(i)
			out[i] = 1.5 + 8*math.Exp(-math.Pow((d-depth)/0.25, 2))
		}
		return out
	}
	return [2]Side{
		{Normal: r2.Vec{X: -1}, Mid: r2.Vec{X: x - 17.5}, Change: peak(nearDepth), From: 0.25, Step: 0.2},
		{Normal: r2.Vec{X: 1}, Mid: r2.Vec{X: x + 17.5}, Change: peak(farDepth), From: 0.25, Step: 0.2},
	}
}

// The change of light at depth a + run on the near side tells the run.
func TestLeanFromLight(t *testing.T) {
	eye, edge, thick := Eye{Height: 400}, 4.0, 4.6
	x := 200.0
	a := (x - 17.5) * edge / (400 - edge) // similar triangles
	for _, run := range []float64{0, 2, 4} {
		l := LeanOf(sides(x, a+run, -9), eye, edge, thick, nil)
		if got := -l.Run.X; math.Abs(got-run) > 0.4 {
			t.Errorf("a wall running out %.1f mm towards the camera is taken as %.2f", run, got)
		}
	}
	// A blade at 30° leaves a wall that runs t / tan 30° = 1.73 t; the light shows no
	// more than 1.2 t, the outlines of two photos do.
	steep := thick / math.Tan(math.Pi/6)
	outlines := func(run r2.Vec) float64 { d := run.X + steep; return -d * d / (2 * 0.3 * 0.3) }
	if l := LeanOf(sides(x, -9, -9), eye, edge, thick, outlines); math.Abs(l.Run.X+steep) > 0.3 {
		t.Errorf("a wall that both outlines say runs %.1f mm is taken as %.2f", steep, -l.Run.X)
	}
	l := LeanKnown(sides(x, -9, 1.6), eye, edge, 4, nil)
	if l.Run.X != 4 {
		t.Errorf("a wall seen on the far side only is taken to run %.1f mm", l.Run.X)
	}
	if none := LeanOf(sides(x, -9, -9), eye, edge, thick, nil); none.WidthU < 0.3 {
		t.Errorf("where nothing is seen the width is in doubt by %.2f mm only", none.WidthU)
	}
}
