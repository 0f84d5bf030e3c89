package reference

import (
	"math"
	"testing"

	"netagauge/internal/core/piece"
)

// box is a rectangle about a place, its long side so many degrees from x.
func box(n int, x, y, length, width, deg float64) piece.Piece {
	return shaped(n, x, y, deg, [][2]float64{{-length / 2, -width / 2}, {length / 2, -width / 2}, {length / 2, width / 2}, {-length / 2, width / 2}}, length, width)
}

func shaped(n int, x, y, deg float64, own [][2]float64, length, width float64) piece.Piece {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	p := piece.Piece{Number: n, State: piece.Measured, AxisDeg: deg, Length: piece.Of(length, 0.3), Width: piece.Of(width, 0.3)}
	for _, q := range own {
		p.Outline = append(p.Outline, [2]float64{x + q[0]*cos - q[1]*sin, y + q[0]*sin + q[1]*cos})
	}
	return p
}

// A rectangle of 90 × 30 over one of 80 × 35 lies beyond it by 2 × 5 × 30 mm² and leaves
// 80 × 5 bare, wherever both lie and however they are turned.
func TestOver(t *testing.T) {
	_, over := Over(box(1, 50, 60, 80, 35, 20), []piece.Piece{box(2, 200, 100, 90, 30, -70), box(3, 10, 10, 80, 35, 110)})
	if len(over) != 2 || over[0].Number != 2 {
		t.Fatalf("%+v", over)
	}
	for i, want := range [][2]float64{{300, 400}, {0, 0}} {
		if math.Abs(over[i].Beyond-want[0]) > 1 || math.Abs(over[i].Bare-want[1]) > 1 {
			t.Errorf("slice %d: %.1f beyond, %.1f bare", over[i].Number, over[i].Beyond, over[i].Bare)
		}
	}
}

// A slanted slice that lies the other way round, or on its other face, is the same one.
func TestOverTurned(t *testing.T) {
	slant := [][2]float64{{-50, -15}, {30, -15}, {50, 15}, {-30, 15}} // 80 × 30, leaning by 20
	mirrored := [][2]float64{{-30, -15}, {50, -15}, {30, 15}, {-50, 15}}
	crooked := [][2]float64{{-50, -18}, {30, -12}, {50, 15}, {-30, 20}} // alike no way round
	turned := func(x, y float64) (out [][2]float64) {
		for _, q := range crooked {
			out = append(out, [2]float64{x * q[0], y * q[1]})
		}
		return out
	}
	tapering := [][2]float64{{-40, -20}, {40, -10}, {40, 10}, {-40, 20}}
	for name, c := range map[string][2]piece.Piece{
		"crooked, over its length": {shaped(1, 0, 0, 0, crooked, 80, 30), shaped(2, 9, 9, 0, turned(1, -1), 80, 30)},
		"crooked, over its end":    {shaped(1, 0, 0, 0, crooked, 80, 30), shaped(2, 9, 9, 0, turned(-1, 1), 80, 30)},
		"crooked, turned":          {shaped(1, 0, 0, 0, crooked, 80, 30), shaped(2, 9, 9, 0, turned(-1, -1), 80, 30)},
		"half a turn":              {shaped(1, 0, 0, 0, slant, 80, 30), shaped(2, 9, 9, 180, slant, 80, 30)},
		"other face":               {shaped(1, 0, 0, 0, slant, 80, 30), shaped(2, 9, 9, 35, mirrored, 80, 30)},
		"thick end":                {shaped(1, 0, 0, 0, tapering, 80, 30), shaped(2, 5, 5, 200, tapering, 80, 30)},
	} {
		_, over := Over(c[0], c[1:])
		if math.Abs(over[0].Beyond) > 1 || math.Abs(over[0].Bare) > 1 {
			t.Errorf("%s: %.1f beyond, %.1f bare", name, over[0].Beyond, over[0].Bare)
		}
	}
}

func TestTypical(t *testing.T) {
	tray := []piece.Piece{box(1, 0, 0, 70, 35, 0), box(2, 0, 0, 80, 36, 0), box(3, 0, 0, 81, 30, 0)}
	if p, ok := Typical(tray); !ok || p.Number != 2 {
		t.Errorf("slice %d, %v", p.Number, ok)
	}
	if _, ok := Typical(nil); ok {
		t.Error("a slice of nothing")
	}
}

// Spread on spread, with the reference's and the tray's not changed for each other; the
// interval is package evidence's, which is held to published examples.
func TestSpreads(t *testing.T) {
	var mine, theirs []piece.Piece
	for i, l := range []float64{79, 80, 81} {
		mine = append(mine, box(i, 0, 0, l, 35, 0))
	}
	for i, l := range []float64{80, 85, 90} {
		theirs = append(theirs, box(i, 0, 0, l, 30+float64(i), 0))
	}
	got := Spreads(mine, theirs)
	if len(got) != 2 || got[0].Measure != piece.Length || got[1].Measure != piece.Width {
		t.Fatalf("%+v", got)
	}
	if s := got[0]; s.Reference != 80 || s.Mean != 85 || s.ReferenceSD != 1 || s.SD != 5 || s.Off.Value != 5 || s.Off.Clear() {
		t.Errorf("%+v", s)
	}
	if s := got[1]; !s.Off.Clear() || s.Off.Value != -4 {
		t.Errorf("%+v", s)
	}
	if len(Spreads(mine[:2], theirs)) != 0 {
		t.Error("two slices have no spread")
	}
}
