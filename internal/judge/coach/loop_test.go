package coach

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/solid"
	"netagauge/internal/judge/standard"
	"netagauge/internal/see/shape"
)

// bar is a block of rectangular section, and hand how a knife was held over it.
type bar struct{ width, height float64 }
type held struct{ theta, phi, thick float64 }

// slice is a slice as it lies: the bar clipped by two parallel planes and seen
// along them, measured as a photo is. No closed form of the coach's is in it.
func (b bar) slice(t testing.TB, h held) shape.Size {
	t.Helper()
	const long = 2000.0
	sin, cos := math.Sincos(h.theta * math.Pi / 180)
	lay, up := math.Sincos(h.phi * math.Pi / 180)
	along := r3.Vec{X: cos, Y: sin} // the edge's line on the board
	n := r3.Vec{X: sin * lay, Y: -cos * lay, Z: up}
	block := solid.Body{solid.Column([4]r2.Vec{{}, {X: long}, {X: long, Y: b.width}, {Y: b.width}}, [4]float64{b.height, b.height, b.height, b.height})}
	d := r3.Dot(n, r3.Vec{X: long / 2})
	from, to := solid.Plane{N: n, D: d}, solid.Plane{N: n, D: d + h.thick}
	size, err := shape.MeasureSize(solid.Outline(block.Slab(from, to, along, r3.Cross(n, along)), 0.01))
	fatal.If(t, err)
	return size
}

// What measuring leaves open: the median U (k = 2) of one photo's lengths and
// widths by README's table, half of it common to the tray, half each slice's own;
// and the hand: degrees and mm, our setting.
const loopLengthU, loopWidthU, handDeg, handMM = 1.1, 0.9, 0.7, 0.1

// tray is six slices by one hand, measured.
func (b bar) tray(t testing.TB, h held, r *rand.Rand) []piece.Piece {
	var out []piece.Piece
	common := [2]float64{r.NormFloat64(), r.NormFloat64()}
	off := func(u float64, k int) float64 { return u / 2 * (common[k] + r.NormFloat64()) / math.Sqrt2 }
	for i := range 6 {
		z := b.slice(t, held{h.theta + handDeg*r.NormFloat64(), h.phi + handDeg*r.NormFloat64(), h.thick + handMM*r.NormFloat64()})
		out = append(out, piece.Piece{
			Number: i + 1, State: piece.Measured, Area: piece.Of(z.Area, 80), Cover: piece.Of(1, 0),
			Length: piece.Of(z.Length+off(loopLengthU, 0), loopLengthU), Width: piece.Of(z.Width+off(loopWidthU, 1), loopWidthU),
		})
	}
	return out
}

// changed is how the knife is held after the advice, and whether an angle was named.
func (h held) changed(says []phrase.Text) (held, bool) {
	named := false
	for _, text := range says {
		for _, c := range text {
			switch c.Key {
			case "plan-cut":
				h.theta, named = math.Round(c.Numbers[0]), true
			case "lay-cut":
				h.phi, named = math.Round(c.Numbers[0]), true
			}
		}
	}
	return h, named
}

// A bar is cut at a wrong angle, the slices are measured and judged by the house,
// the advice is read as a cook reads it, in whole degrees, and the next slice is cut
// as told. Told is the block's width for wrong lengths, its height for wrong widths,
// to a millimetre. In four of five at least a change is named, and every one of
// those gives a slice within the limits.
func TestClosedLoop(t *testing.T) {
	target := TargetOf(standard.Default(), "general")
	r := rand.New(rand.NewPCG(14, 4))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	for name, c := range map[string]struct {
		spoil func(h held) held
		told  func(b bar) Cut
		wrong func(z shape.Size) bool
	}{
		"length": {
			func(h held) held { h.theta += math.Copysign(between(4, 16), r.Float64()-0.5); return h },
			func(b bar) Cut { return Cut{BlockWidth: math.Round(b.width)} },
			func(z shape.Size) bool { return side(z.Length, target.LengthLow, target.LengthHigh) != 0 },
		},
		"width": {
			func(h held) held { h.phi += math.Copysign(between(4, 20), r.Float64()-0.5); return h },
			func(b bar) Cut { return Cut{BlockHeight: math.Round(b.height)} },
			func(z shape.Size) bool { return side(z.Width, target.WidthLow, target.WidthHigh) != 0 },
		},
	} {
		faults, named, right := 0, 0, 0
		var missed []string
		for range 400 {
			b := bar{between(42, 68), between(17, 28)}
			h := c.spoil(b.held(t, target, between(3.5, 5)))
			if h.theta < minAngle || h.theta > 85 || h.phi < minAngle || h.phi > 90 || !c.wrong(b.slice(t, h)) {
				continue
			}
			faults++
			next, told := h.changed(Tray(b.tray(t, h, r), target, c.told(b)))
			if !told {
				continue
			}
			named++
			if z := b.slice(t, next); !c.wrong(z) {
				right++
			} else {
				missed = append(missed, fmt.Sprintf("%+v cut at %+v, told %+v: %+v", b, h, next, z))
			}
		}
		t.Logf("%s: %d faults, a change named in %d (%.0f %%), of those %d within the limits on the next cut", name, faults, named, 100*float64(named)/float64(faults), right)
		if faults < 150 || float64(named) < 0.8*float64(faults) || right < named {
			t.Errorf("%s: %d faults, %d named, %d right; want 80 %% named and all of those right: %v", name, faults, named, right, missed)
		}
	}
}

// held is how the bar is cut right, found by bisection on the solid itself.
func (b bar) held(t testing.TB, target Target, thick float64) held {
	h := held{45, 45, thick}
	for range 8 { // each angle also moves the other size a little
		h.theta = falling(func(deg float64) float64 { return b.slice(t, held{deg, h.phi, thick}).Length - target.LengthAim })
		h.phi = falling(func(deg float64) float64 { return b.slice(t, held{h.theta, deg, thick}).Width - target.WidthAim })
	}
	return h
}

// falling is where a falling function of an angle is nothing, degrees.
func falling(f func(deg float64) float64) float64 {
	lo, hi := minAngle, 90.0
	for range 24 {
		if mid := (lo + hi) / 2; f(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
