package acceptance

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/shape"
)

// Sizes in closed form: a parallelogram's length is its side and its area side by
// height; an ellipse's area π/4·l·w, its length the median of 51 chords over the
// middle half, 13 of 25 steps off its middle: l·√(1-0.26²).
func TestShapesInClosedForm(t *testing.T) {
	s := sheetOf(t, "a4")
	for i, want := range []shape.Size{
		{Length: 80, Width: 35, Area: 2800}, {Length: 76, Width: 52, Area: 3952},
		{Length: 56 * math.Sqrt(1-0.26*0.26), Area: math.Pi / 4 * 56 * 26}, {Length: 56 * math.Sqrt(1-0.26*0.26), Area: math.Pi / 4 * 56 * 42},
		{Area: 46 * 40 / 2}, {Length: 60, Width: 20, Area: 1200}, {Length: 32, Width: 16, Area: 512},
	} {
		got := s.Shapes[i]
		if want.Length > 0 && math.Abs(got.Length-want.Length) > 0.05 || want.Width > 0 && math.Abs(got.Width-want.Width) > 1e-6 || math.Abs(got.Area/want.Area-1) > 2e-4 {
			t.Errorf("shape %d measures %+v, want %+v", i+1, got.Size, want)
		}
		if got.Area < 500 || got.Area > 4000 {
			t.Errorf("shape %d has %.0f mm², want 5 to 40 cm²", i+1, got.Area)
		}
	}
}

func sheetOf(t *testing.T, name string) Sheet {
	t.Helper()
	l, err := mat.ByName(name)
	fatal.If(t, err)
	s, err := SheetFor(l)
	fatal.If(t, err)
	return s
}

// On every mat shapes and card lie 8 mm apart and 5 mm inside the field, as far
// as slices must.
func TestShapesLieApart(t *testing.T) {
	for _, l := range mat.Layouts() {
		s := sheetOf(t, l.Name)
		all := []shape.Outline{{s.Card.Min, {X: s.Card.Max.X, Y: s.Card.Min.Y}, s.Card.Max, {X: s.Card.Min.X, Y: s.Card.Max.Y}}}
		for _, x := range s.Shapes {
			all = append(all, x.Outline)
		}
		for i, a := range all {
			b := a.Bounds()
			if in := min(b.Min.X-l.Field.Min.X, b.Min.Y-l.Field.Min.Y, l.Field.Max.X-b.Max.X, l.Field.Max.Y-b.Max.Y); in < 5 {
				t.Errorf("%s: shape %d lies %.1f mm from the field's edge", l.Name, i, in)
			}
			for k, o := range all[:i] {
				if d := gap(a, o); d < 8 {
					t.Errorf("%s: shapes %d and %d lie %.1f mm apart", l.Name, i, k, d)
				}
			}
		}
	}
}

// points on each side of an outline; one of many corners needs no more.
func points(o shape.Outline) int { return max(1, 80/len(o)) }

// gap is the least distance between two outlines, by points along their sides.
func gap(a, b shape.Outline) float64 {
	along := func(o shape.Outline) (out []r2.Vec) {
		for i, p := range o {
			for k := range points(o) {
				out = append(out, r2.Add(p, r2.Scale(float64(k)/float64(points(o)), r2.Sub(o[(i+1)%len(o)], p))))
			}
		}
		return out
	}
	least := math.Inf(1)
	for _, p := range along(a) {
		for _, q := range along(b) {
			least = math.Min(least, r2.Norm(r2.Sub(p, q)))
		}
	}
	return least
}

// seenAt is a photo of the sheet with everything at a scale.
func seenAt(s Sheet, scale float64) Photographed {
	p := Photographed{Card: 1, CardU: 0.003}
	middle := r2.Scale(0.5, r2.Add(s.Cut.Min, s.Cut.Max))
	for _, x := range s.Shapes {
		var o shape.Outline
		for _, q := range x.Outline {
			o = append(o, r2.Add(middle, r2.Scale(scale, r2.Sub(q, middle))))
		}
		p.Outlines = append(p.Outlines, o)
	}
	return p
}

// Errors follow from the scale: 80 mm at 100.5 % is 0.4 mm too long, every area
// 1.0025 % too large. A sheet at 97 % is told, unless a ruler says so too.
func TestCertify(t *testing.T) {
	s := sheetOf(t, "a4")
	for _, c := range []struct {
		scale, bar   float64
		passed, told bool
		length       float64
	}{{1, 0, true, false, 0}, {1.005, 0, true, false, 0.4}, {1.008, 0, false, true, 0.64}, {0.97, 0, false, true, 2.4}, {0.97, 97, true, false, 0}} {
		got, err := Certify(s, seenAt(s, c.scale), c.bar, Usual)
		fatal.If(t, err)
		if got.Passed() != c.passed || got.SheetOff() != c.told || math.Abs(got.Length-c.length) > 1e-6 {
			t.Errorf("at %g with a bar of %g: passed %v, sheet told %v, error %.3f mm; want %+v", c.scale, c.bar, got.Passed(), got.SheetOff(), got.Length, c)
		}
		if says := phrase.English().Must(got.Verdict()); strings.Contains(says, "100 %") != c.told || strings.HasPrefix(says, "Within") != c.passed {
			t.Errorf("at %g it says %q", c.scale, says)
		}
	}
	p := seenAt(s, 1)
	p.Outlines = p.Outlines[1:]
	if _, err := Certify(s, p, 0, Usual); err == nil || !strings.Contains(err.Error(), "shape 1 of 7") {
		t.Errorf("with a shape missing: %v", err)
	}
}
