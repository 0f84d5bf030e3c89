package plansheet

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/standard"
)

// Every cut is drawn within 0.5 mm of where it belongs. The expected place is
// worked out anew: from the cut's marks on the block's top edges, the way the
// block was laid on the mat, and a pinhole camera over the mat.
func TestCutsAreDrawnInPlace(t *testing.T) {
	const (
		tolerance      = 0.5 // mm
		length, width  = 230.0, 56.0
		high           = 24.0
		px             = 4.0
		turned         = 25.0 // degrees, clockwise in the photo
		tailX, tailY   = 90.0, 70.0
		eyeX, eyeY, up = 210.0, 150.0, 420.0
	)
	sin, cos := math.Sincos(turned * math.Pi / 180)
	onMat := func(x, y float64) r2.Vec { // y away from the cook: up in the photo
		return r2.Vec{X: tailX + x*cos + y*sin, Y: tailY + x*sin - y*cos}
	}
	seen := func(x, y float64) r2.Vec {
		v := onMat(x, y)
		k := up / (up - high)
		return r2.Vec{X: px * (eyeX + k*(v.X-eyeX)), Y: px * (eyeY + k*(v.Y-eyeY))}
	}
	outline := []r2.Vec{onMat(0, -width/2), onMat(length, -width/2), onMat(length, width/2), onMat(0, width/2)}
	for _, hand := range []plan.Side{plan.Right, plan.Left} {
		block, place, err := plan.FromOutline(outline, []plan.HeightAt{plan.Even(0, high)}, plan.Left)
		fatal.If(t, err)
		o := plan.DefaultOptions()
		o.Hand = hand
		p, err := plan.Make(t.Context(), block, standard.Default(), "general", o)
		fatal.If(t, err)
		base := image.NewRGBA(image.Rect(0, 0, 420*px, 297*px))
		draw.Draw(base, base.Bounds(), image.NewUniform(color.Gray{60}), image.Point{}, draw.Src)
		out, err := Draw(Picture{Base: base, PxPerMM: px, Foot: r2.Vec{X: eyeX, Y: eyeY}, EyeHeight: up}, place, p)
		fatal.If(t, err)
		worst := 0.0
		for _, c := range p.Cuts {
			near, far := c.TopNear, c.TopFar
			if hand == plan.Left { // cutting starts at the head
				near, far = length-near, length-far
			}
			for _, f := range []float64{0.2, 0.5, 0.8} {
				if x := near + f*(far-near); x < 3 || x > length-3 {
					continue // where the cut has left the block by its end
				}
				at, next := seen(near+f*(far-near), width*(f-0.5)), seen(near+(f+0.01)*(far-near), width*(f-0.49))
				d, ok := lineOffset(out, at, r2.Unit(r2.Sub(next, at)), 2*px)
				if !ok || math.Abs(d/px) > tolerance {
					t.Errorf("%s hand, cut %d at %.0f %%: drawn %.2f mm off (found %v)", hand, c.Number, 100*f, d/px, ok)
				}
				worst = max(worst, math.Abs(d/px))
			}
		}
		t.Logf("%s hand: worst %.2f mm over %d cuts", hand, worst, len(p.Cuts))
	}
}

// lineOffset is how far the white line lies from a point, across its direction,
// px: the centroid of the light within reach.
func lineOffset(img *image.RGBA, at, along r2.Vec, reach float64) (float64, bool) {
	var sum, weight float64
	for d := -reach; d <= reach; d += 0.25 {
		p := r2.Add(at, r2.Scale(d, r2.Vec{X: -along.Y, Y: along.X}))
		if v := float64(img.RGBAAt(int(p.X), int(p.Y)).R); v > 150 {
			sum, weight = sum+d*v, weight+v
		}
	}
	return sum / weight, weight > 0
}

// A picture with its own corner and bounds is drawn on a copy.
func TestDrawLeavesTheBaseAlone(t *testing.T) {
	block, place, err := plan.FromOutline([]r2.Vec{{X: 50, Y: 60}, {X: 280, Y: 60}, {X: 280, Y: 116}, {X: 50, Y: 116}}, []plan.HeightAt{plan.Even(0, 20)}, plan.Left)
	fatal.If(t, err)
	p, err := plan.Make(t.Context(), block, standard.Default(), "general", plan.DefaultOptions())
	fatal.If(t, err)
	base := image.NewRGBA(image.Rect(10, 20, 610, 420))
	out, err := Draw(Picture{Base: base, PxPerMM: 2, Corner: r2.Vec{X: 20, Y: 20}}, place, p)
	fatal.If(t, err)
	for _, v := range base.Pix {
		if v != 0 {
			t.Fatal("the base picture was drawn on")
		}
	}
	if out.Bounds() != base.Bounds() {
		t.Errorf("bounds %v, want %v", out.Bounds(), base.Bounds())
	}
	c := p.Cuts[3]
	mid := (c.TopNear+c.TopFar)/2 + 50
	var lightest uint8
	for dx := -1; dx <= 1; dx++ {
		lightest = max(lightest, out.RGBAAt(10+int(2*(mid-20))+dx, 20+int(2*(88-20))).R)
	}
	if lightest < 200 {
		t.Errorf("no line at the middle of cut 3 (%.1f mm): the lightest pixel there is %d", mid, lightest)
	}
}

// The names of the block's ends are not under the number of a cut that leaves by an end.
func TestEndNamesStandFree(t *testing.T) {
	rings := 0
	for length := 180.0; length < 260; length += 4 {
		labels := made(t, nil, plan.At(0, 62, 18), plan.At(length, 62, 18)).fromAbove(blade).labels
		for _, name := range labels {
			for _, cut := range labels {
				if name.ring || !cut.ring {
					continue
				}
				rings++
				if apart := r2.Norm(r2.Sub(name.at, cut.at)); apart < cut.room() {
					t.Errorf("block of %g mm: %q lies %.1f mm from the middle of cut %s", length, name.text, apart, cut.text)
				}
			}
		}
	}
	if rings == 0 {
		t.Error("no numbers are drawn")
	}
}

// Numbers of cuts cover none of the others, also where cuts leave by an end; and the
// arrow, which is the only white on the blue there, points at the end where cutting starts.
func TestPictureIsRead(t *testing.T) {
	outline := []r2.Vec{{X: 60, Y: 60}, {X: 240, Y: 60}, {X: 240, Y: 122}, {X: 60, Y: 122}}
	for hand, startX := range map[plan.Side]float64{plan.Right: 50, plan.Left: 250} {
		block, place, err := plan.FromOutline(outline, []plan.HeightAt{plan.Even(0, 20)}, plan.Left)
		fatal.If(t, err)
		o := plan.DefaultOptions()
		o.Hand = hand
		p, err := plan.Make(t.Context(), block, standard.Default(), "general", o)
		fatal.If(t, err)
		out, err := Draw(Picture{Base: image.NewRGBA(image.Rect(0, 0, 1200, 800)), PxPerMM: 4}, place, p)
		fatal.If(t, err)
		for x, want := range map[float64]bool{startX: true, 300 - startX: false} {
			if got := out.RGBAAt(int(4*x), 4*91).R > 200; got != want {
				t.Errorf("%s hand: an arrow at x = %g mm: %v, want %v", hand, x, got, want)
			}
		}
	}
	var rings []r3.Vec
	for i := range 12 {
		at := freeRing(r3.Vec{X: float64(i%4) * 1.5, Y: float64(i)}, rings)
		if at.Y > float64(i)-5 {
			t.Errorf("number %d stands on the block, at %.1f", i, at)
		}
		for _, other := range rings {
			if apart := r3.Norm(r3.Sub(at, other)); apart < 6 {
				t.Errorf("number %d lies %.1f mm from another", i, apart)
			}
		}
		rings = append(rings, at)
	}
}

// A cut's line keeps its ends and its bends, and nothing between; a page with every point
// of 23 cuts weighed 67 kB.
func TestBends(t *testing.T) {
	straight, bent := []r2.Vec{}, []r2.Vec{}
	for i := range 97 {
		x := float64(i)
		straight = append(straight, r2.Vec{X: x, Y: 2 * x})
		bent = append(bent, r2.Vec{X: x, Y: math.Abs(x-40) * 0.1})
	}
	if got := bends(straight); !slices.Equal(got, []r2.Vec{straight[0], straight[96]}) {
		t.Errorf("a straight row keeps %v", got)
	}
	if got := bends(bent); !slices.Equal(got, []r2.Vec{bent[0], bent[40], bent[96]}) {
		t.Errorf("a row with one bend keeps %v", got)
	}
	var arc []r2.Vec
	for i := range 97 {
		sin, cos := math.Sincos(float64(i) / 96)
		arc = append(arc, r2.Vec{X: 50 * cos, Y: 50 * sin})
	}
	if n := len(bends(arc)); n < 8 || n > 40 { // chords of 50 mm's arc are 0.02 mm off at 2.6°: 22 of them
		t.Errorf("an arc keeps %d points", n)
	}
}
