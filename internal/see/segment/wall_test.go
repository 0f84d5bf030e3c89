package segment

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A face over a darker wall of the same hue, 5.4 mm deep on one long side: the
// light changes there, and nowhere along the other sides.
func TestWallIsSeenWhereItWasDrawn(t *testing.T) {
	const edge, foot = 110.04, 115.44
	wall := [3]float64{75, 103, 156} // salmon at three fifths of the light
	photo, f := drawn(t, map[r2.Box][3]float64{
		r2.NewBox(100.13, 80.37, 180.29, edge): salmonSeen,
		r2.NewBox(100.13, edge, 180.29, foot):  wall,
	})
	ps := found(t, photo, f)
	if len(ps) != 1 || len(ps[0].Walls) < 4 {
		t.Fatalf("%d pieces, want one of four sides", len(ps))
	}
	for _, w := range ps[0].Walls[:4] {
		if w.Change == nil {
			t.Errorf("the side that faces %.2f was not looked at", w.Normal)
			continue
		}
		const past = 4 // samples: the edge's own blur
		most := slices.Max(w.Change[past:])
		depth := WallFrom + WallStep*float64(slices.Index(w.Change, most))
		switch {
		case w.Normal.Y < 0.9 && math.Abs(w.Normal.Y) > 0.9 && most > 2: // the other long side
			t.Errorf("the side without a wall changes by %.1f deviations, %.2f mm in", most, depth)
		case w.Normal.Y > 0.9 && (most < 10 || math.Abs(depth-(foot-edge)) > 0.6):
			t.Errorf("the wall ends %.2f mm in by %.1f deviations, drawn %.2f mm deep", depth, most, foot-edge)
		}
	}
}

// A step of light at sample 20 of a profile, half of the logarithm's unit high: a
// place is scored by what lies two samples and more to either side, so the step
// has its full score, 0.5 over the root of the least variance, from 18 to 22, and
// less beyond. Where the colour steps too it is no wall.
func TestChangesOfAStep(t *testing.T) {
	var p profile
	for i := 20; i < wallSamples; i++ {
		p.light[i] = 0.5
	}
	const full = 0.5 / 0.02 // √4e-4
	got := p.changes()
	for i := 17; i <= 23; i++ {
		if inside := i >= 18 && i <= 22; math.Abs(got[i]-full) < 1e-9 != inside {
			t.Errorf("sample %d scores %.2f, want %.2f only from 18 to 22", i, got[i], full)
		}
	}
	for i := 20; i < wallSamples; i++ {
		p.b[i] = 0.3
	}
	if got := p.changes()[20]; got != 0 {
		t.Errorf("a step of colour scores %.2f", got)
	}
}

// One point that jumped by a millimetre, and one that was not found, are put among
// their neighbours; a step of three tenths stays, but for the light smoothing.
func TestSteadyPutsBackWhatJumps(t *testing.T) {
	pts := make([]point, 40)
	for i := range pts {
		pts[i] = point{moved: 0.2, found: true}
	}
	pts[10].moved = 1.2
	pts[20] = point{moved: -3}
	pts[30].moved = 0.5
	steady(pts)
	for i, p := range pts {
		want := map[int]float64{29: 0.275, 30: 0.35, 31: 0.275}[i]
		if want == 0 {
			want = 0.2
		}
		if math.Abs(p.moved-want) > 1e-9 {
			t.Errorf("point %d moves %.3f mm, want %.3f", i, p.moved, want)
		}
	}
}
