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
func seen(face shape.Outline, eye Eye, s Solid) View {
	var all shape.Outline
	for _, p := range face {
		h := s.Height(p)
		all = append(all, r2.Add(eye.Foot, r2.Scale(eye.Height/(eye.Height-h), r2.Sub(p, eye.Foot))), r2.Add(p, r2.Scale(h, s.Lean)))
	}
	return View{all.Hull(), eye}
}

func near(t interface{ Fatalf(string, ...any) }, what string, got, want, share float64) {
	if !(math.Abs(got-want) <= share*want) {
		t.Fatalf("%s of %.3f mm² comes back as %.3f", what, want, got)
	}
}

// drawnRay is the share of an area that may be lost to outlines kept as rays: a
// corner is cut by half of what lies between two. Swept, it leaves a strip.
const drawnRay = 1e-3

// For any convex slice, thicker at one end or not, any lean and any one or two
// cameras, taking the seen outlines back gives the face again, and the whole is
// the hull of the face and its lower edge.
func TestAboveUndoesTheView(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		middle := r2.Vec{X: rapid.Float64Range(30, 390).Draw(t, "x"), Y: rapid.Float64Range(30, 270).Draw(t, "y")}
		face := shapetest.Placed(
			shapetest.Parallelogram(rapid.Float64Range(50, 100).Draw(t, "length"), rapid.Float64Range(20, 45).Draw(t, "width"), rapid.Float64Range(-20, 20).Draw(t, "shift")),
			rapid.Float64Range(0, 180).Draw(t, "turn"), middle)
		angle, lean := rapid.Float64Range(0, 2*math.Pi).Draw(t, "lean direction"), rapid.Float64Range(0, 2).Draw(t, "lean")
		edge, slope := rapid.Float64Range(2, 6).Draw(t, "edge"), rapid.Float64Range(-0.02, 0.02).Draw(t, "slope")
		s := Solid{
			Height: func(p r2.Vec) float64 { return edge + slope*(p.X-middle.X) },
			Lean:   r2.Vec{X: lean * math.Cos(angle), Y: lean * math.Sin(angle)},
		}
		var views []View
		for range rapid.IntRange(1, 2).Draw(t, "views") {
			eye := Eye{Foot: r2.Vec{X: rapid.Float64Range(0, 420).Draw(t, "foot"), Y: 150}, Height: rapid.Float64Range(250, 600).Draw(t, "height")}
			views = append(views, seen(face, eye, s))
		}
		got, err := Above(views, s)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "face", shape.Outline(got.Face).Area(), face.Area(), drawnRay)
		var both shape.Outline
		for _, p := range face {
			both = append(both, p, r2.Add(p, s.run(p)))
		}
		near(t, "whole outline", shape.Outline(got.Whole).Area(), both.Hull().Area(), 3*drawnRay)
	})
}

// A slice 4 mm thick, 200 mm from the foot of a camera 450 mm high, reads long
// by t/(H-t) on the far side: 1.8 mm (similar triangles).
func TestShiftByHand(t *testing.T) {
	eye := Eye{Foot: r2.Vec{}, Height: 450}
	face := shapetest.Placed(shapetest.Parallelogram(80, 35, 0), 90, r2.Vec{X: 182.5})
	view := seen(face, eye, Upright(4))
	far := shape.Outline(view.Outline).Bounds().Max.X
	if math.Abs(far-200.0*450/446) > 1e-6 {
		t.Fatalf("far edge is seen at %.3f mm, want %.3f", far, 200.0*450/446)
	}
	got, err := Above([]View{view}, Upright(4))
	if err != nil {
		t.Fatal(err)
	}
	if x := shape.Outline(got.Whole).Bounds().Max.X; math.Abs(x-200) > 1e-3 {
		t.Errorf("far edge comes back at %.4f mm, want 200", x)
	}
}

func TestAboveRefuses(t *testing.T) {
	face := shapetest.Parallelogram(80, 35, 0)
	for _, c := range []struct{ height, edge float64 }{{8, 4}, {0, 4}, {math.NaN(), 4}, {400, -1}, {400, math.NaN()}} {
		if _, err := Above([]View{{face, Eye{Height: c.height}}}, Upright(c.edge)); err == nil {
			t.Errorf("camera at %g mm and edge of %g mm are taken", c.height, c.edge)
		}
	}
	if _, err := Above(nil, Upright(4)); err == nil {
		t.Error("an outline comes out of no view at all")
	}
}

// cutBar is the slice of a bar by a knife turned by theta against the bar's length
// and laid to phi, worked out in space: the outward normals of two neighbouring
// walls on the face, and the lean: the direction along the bar as it lies on the
// face, by thickness.
func cutBar(theta, phi float64) (n, m, lean r2.Vec) {
	st, ct := math.Sincos(theta * math.Pi / 180)
	sp, cp := math.Sincos(phi * math.Pi / 180)
	blade := [3]float64{sp * st, -sp * ct, cp} // the face's normal; the bar lies along x
	dot := func(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
	e1 := [3]float64{ct, st, 0} // along the face, level
	e2 := [3]float64{blade[1]*e1[2] - blade[2]*e1[1], blade[2]*e1[0] - blade[0]*e1[2], blade[0]*e1[1] - blade[1]*e1[0]}
	flat := func(v [3]float64) r2.Vec { return r2.Vec{X: dot(v, e1), Y: dot(v, e2)} }
	top, end := [3]float64{0, 0, 1}, [3]float64{0, 1, 0}
	// The upper face of a slice is the one against the blade's normal turned up.
	lean = r2.Scale(-1/blade[0], flat([3]float64{1, 0, 0}))
	return r2.Unit(flat(top)), r2.Unit(flat(end)), lean
}

// Closed form: the long walls lean by φ, the end walls by acos(cos θ·sin φ), each
// against the face.
func TestBarInClosedForm(t *testing.T) {
	for _, c := range []struct{ theta, phi float64 }{{90, 90}, {90, 45}, {45, 90}, {60, 50}, {30, 70}, {25, 35}} {
		n, m, lean := cutBar(c.theta, c.phi)
		rad := math.Pi / 180
		cot := func(a float64) float64 { return math.Abs(math.Cos(a) / math.Sin(a)) }
		if got, want := math.Abs(r2.Dot(lean, n)), cot(c.phi*rad); math.Abs(got-want) > 1e-9 {
			t.Errorf("θ %g φ %g: long walls lean %.4f, want %.4f", c.theta, c.phi, got, want)
		}
		ends := math.Acos(math.Cos(c.theta*rad) * math.Sin(c.phi*rad))
		if got, want := math.Abs(r2.Dot(lean, m)), cot(ends); math.Abs(got-want) > 1e-9 {
			t.Errorf("θ %g φ %g: end walls lean %.4f, want %.4f", c.theta, c.phi, got, want)
		}
		square := Square(n, m)
		for _, other := range []r2.Vec{r2.Scale(0.5, lean), r2.Scale(1.5, lean), {X: -lean.X, Y: lean.Y}} {
			if r2.Norm(r2.Sub(other, lean)) > 0.3 && math.Abs(r2.Dot(n, m)) > 0.1 && square(other) >= square(lean) {
				t.Errorf("θ %g φ %g: a lean of %v fits square walls as well as %v", c.theta, c.phi, other, lean)
			}
		}
	}
}

// rounding is how far inside the edge that is seen the light changes: the 0.3 mm in
// the middle of what was measured, see Side.
const rounding = 0.3

// sides of a slice 35 mm wide along y at x, with one change of light each.
func sides(x, nearDepth, farDepth float64) [2]Side {
	peak := func(depth float64) []float64 {
		out := make([]float64, 59)
		for i := range out {
			d := 0.25 + 0.2*float64(i)
			out[i] = 1.5 + 8*math.Exp(-math.Pow((d-depth-rounding)/0.25, 2))
		}
		return out
	}
	return [2]Side{
		{Normal: r2.Vec{X: -1}, Mid: r2.Vec{X: x - 17.5}, Change: peak(nearDepth), From: 0.25, Step: 0.2},
		{Normal: r2.Vec{X: 1}, Mid: r2.Vec{X: x + 17.5}, Change: peak(farDepth), From: 0.25, Step: 0.2},
	}
}

func lit(s [2]Side, eye Eye, height float64, more ...Tells) []Likely {
	across, along := s[1].Normal, r2.Vec{X: -s[1].Normal.Y, Y: s[1].Normal.X}
	// Nothing moves the ends, which stand upright here.
	ends := func(lean r2.Vec) float64 { return math.Log(normal(r2.Dot(lean, along), 0.05)) }
	return Weigh(append(more, ends, Wall(across), Light(s[0], eye, height), Light(s[1], eye, height))...).Leans()
}

// The change of light at depth a + run on the near side tells the run.
func TestLeanFromLight(t *testing.T) {
	eye, height := Eye{Height: 400}, 4.0
	x := 200.0
	a := (x - 17.5) * height / (400 - height) // similar triangles
	for _, run := range []float64{0, 2, 4} {
		likely := lit(sides(x, a+run, -9), eye, height)
		if got := -Around(likely, likely[0].Lean).X * height; math.Abs(got-run) > 0.25 {
			t.Errorf("a wall running out %.1f mm towards the camera is taken as %.2f", run, got)
		}
	}
}

// A told lay angle leaves only the side to which the walls lean.
func TestLeanTold(t *testing.T) {
	eye, height := Eye{Height: 400}, 4.0
	k := height / (400 - height)
	dark := sides(200, -9, height-217.5*k) // a wall at 45° seen on the far side
	if likely := lit(dark, eye, height, Told([]Side{{Normal: r2.Vec{X: 1}, Length: 1}}, 1, 0.05)); math.Abs(math.Abs(likely[0].Lean.X)-1) > 0.1 {
		t.Errorf("a wall told to lean 1 is taken to lean %.2f", likely[0].Lean.X)
	}
}

// Of two walls that a lay may be told of, light tells which; and one that is told of none
// of them does not stand against clear light.
func TestLayOfOtherWalls(t *testing.T) {
	told := Told([]Side{{Normal: r2.Vec{X: 1}, Length: 60}, {Normal: r2.Vec{Y: 1}, Length: 30}}, 1, 0.05)
	at := func(x, y float64) float64 { return told(r2.Vec{X: x, Y: y}) }
	if d := at(1, 0.5) - at(0.5, 1); math.Abs(d-math.Log(2)) > 0.1 {
		t.Errorf("the longer wall is likelier by %.2f, want log 2", d)
	}
	if a, b := at(1, 0.5), at(-1, 0.5); a != b {
		t.Errorf("a lay to either side has log odds of %.2f and %.2f", a, b)
	}
	if d := at(1, 0.5) - at(0.5, 0.5); d < 2 || d > 6 {
		t.Errorf("a lay that was told of other walls is less likely by e^%.1f, want some e^4", d)
	}
}

// Where nothing is seen, both sides stay possible.
func TestLeanUnseen(t *testing.T) {
	var left, right float64
	for _, l := range lit(sides(200, -9, -9), Eye{Height: 400}, 4) {
		if l.Lean.X < -0.3 {
			left += l.Share
		} else if l.Lean.X > 0.3 {
			right += l.Share
		}
	}
	if left < 0.1 || right < 0.1 {
		t.Errorf("without anything seen leans to the left keep a share of %.2f, to the right %.2f", left, right)
	}
}
