package inspect

import (
	"context"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shape"
)

// The outline of a block as high as 22 mm, whose top a tilted camera sees
// beyond the field: every cut is drawn from it, so its edge must lie within
// 0.5 mm of the truth, but for the rounded corners.
func TestBlockOutline(t *testing.T) {
	data, tr := sample(t, "block")
	seen, err := Block(context.Background(), "block", data, tr.Slices[0].Thickness)
	if err != nil {
		t.Fatal(err)
	}
	want := outlineOf(tr.Slices[0].Outline)
	got, err := shape.Measure(seen.Outline)
	if err != nil {
		t.Fatal(err)
	}
	ref, err := shape.Measure(want)
	if err != nil {
		t.Fatal(err)
	}
	within(t, 1, "block", "length mm", got.Length, ref.Length, 1)
	within(t, 1, "block", "width mm", got.Width, ref.Width, 0.5)
	within(t, 1, "block", "area mm²", got.Area, ref.Area, 0.01*ref.Area)
	off := 0
	for _, p := range want {
		if distance(p, seen.Outline) > 0.5 {
			off++
		}
	}
	if off > len(want)/20 {
		t.Errorf("%d of %d points of the true edge lie more than 0.5 mm from the outline", off, len(want))
	}
}

// distance of a point from a closed outline, mm.
func distance(p r2.Vec, o []r2.Vec) float64 {
	best := math.Inf(1)
	for i, a := range o {
		d := r2.Sub(o[(i+1)%len(o)], a)
		f := math.Max(0, math.Min(1, r2.Dot(r2.Sub(p, a), d)/math.Max(r2.Norm2(d), 1e-12)))
		best = math.Min(best, r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(f, d)))))
	}
	return best
}

func TestBlockRefused(t *testing.T) {
	data, _ := sample(t, "tray-a4")
	if _, err := Block(context.Background(), "tray", data, 20); err == nil || !strings.Contains(err.Error(), "block") {
		t.Errorf("a tray of slices is taken for a block: %v", err)
	}
	if _, err := Block(context.Background(), "text", []byte("lunch"), 20); err == nil || !strings.Contains(err.Error(), "unreadable") {
		t.Errorf("text is taken for a photo: %v", err)
	}
}
