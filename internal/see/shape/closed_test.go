package shape_test

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shape"
	"netagauge/internal/see/shapetest"
)

// A slice cut with both angles: its length is its edge, not corner to corner.
func TestParallelogram(t *testing.T) {
	m := measure(t, shapetest.Parallelogram(80, 35, 20))
	near(t, "length", m.Length, 80, 1e-9)
	near(t, "width", m.Width, 35, 1e-9)
	near(t, "overall length", m.OverallLength, 100, 1e-9)
	near(t, "area", m.Area, 2800, 1e-9)
	near(t, "perimeter", m.Perimeter, 2*(80+math.Hypot(35, 20)), 1e-9)
	near(t, "middle of the profile", m.Profile[10], 35, 1e-9)
	near(t, "first of the profile", m.Profile[0], 0, 1e-6)
	// Between the slanted ends the width holds: 20 % of the extent at each.
	near(t, "width at a tenth", m.Profile[2], 35.0/2, 1e-9)
	near(t, "taper", m.Taper, 0, 1e-9)
}

// The profile of a rectangle is its width from end to end, however it lies.
func TestRectangle(t *testing.T) {
	for deg := -170.0; deg <= 180; deg += 35 {
		m := measure(t, shapetest.Placed(shapetest.Rectangle(80, 35), deg, r2.Vec{X: 210, Y: 148}))
		for i, w := range m.Profile {
			near(t, fmt.Sprintf("turned %g°: width at %d %%", deg, 5*i), w, 35, 1e-6)
		}
		near(t, "length", m.Length, 80, 1e-9)
		s, c := math.Sincos(deg * math.Pi / 180)
		near(t, "angle between the axis and the edge", r2.Cross(m.Axis, r2.Vec{X: c, Y: s}), 0, 1e-9)
		near(t, "centroid", r2.Norm(r2.Sub(m.Centroid, r2.Vec{X: 210, Y: 148})), 0, 1e-9)
	}
}

// medianOff is how far from the middle, as a share of the extent, the median
// chord of a convex, symmetric outline lies: of 51 chords 1 % apart the 26th in
// size is the 13th pair from the outside in, 25 % - 12 %.
const medianOff = 0.13

func TestRoundedRectangle(t *testing.T) {
	m := measure(t, shapetest.RoundedRectangle(65, 30, 14, 64))
	near(t, "area", m.Area, 65*30-(4-math.Pi)*14*14, 0.1)
	near(t, "perimeter", m.Perimeter, 2*(65+30)-(8-2*math.Pi)*14, 0.01)
	near(t, "length", m.Length, 65-28+2*math.Sqrt(14*14-math.Pow(30*medianOff-1, 2)), 0.01)
	near(t, "width", m.Width, 30, 1e-9)
}

func TestEllipse(t *testing.T) {
	m := measure(t, shapetest.Placed(shapetest.Ellipse(80, 30, 2000), 25, r2.Vec{X: 100, Y: 50}))
	near(t, "area", m.Area, math.Pi/4*80*30, 0.01)
	near(t, "overall length", m.OverallLength, 80, 1e-3)
	near(t, "overall width", m.OverallWidth, 30, 1e-3)
	near(t, "length", m.Length, 80*math.Sqrt(1-4*medianOff*medianOff), 1e-3)
	near(t, "width", m.Width, 30*math.Sqrt(1-4*medianOff*medianOff), 1e-3)
	near(t, "taper", m.Taper, 0, 1e-3)
	near(t, "width at a quarter", m.Profile[5], 30*math.Sqrt(3)/2, 1e-3)
}

// The long axis of a triangle lies along its longest side, square to the least
// of its three heights.
func TestTriangle(t *testing.T) {
	m := measure(t, shapetest.Placed(shapetest.Triangle(80, 35), -40, r2.Vec{X: 9, Y: 9}))
	near(t, "area", m.Area, 80*35/2, 1e-9)
	near(t, "overall length", m.OverallLength, 80, 1e-9)
	near(t, "overall width", m.OverallWidth, 35, 1e-9)
	near(t, "width", m.Width, 35*(1-2*medianOff), 1e-9)
	near(t, "length", m.Length, 40, 1e-9)
	near(t, "centroid", r2.Norm(r2.Sub(m.Centroid, r2.Vec{X: 9, Y: 9})), 0, 1e-9)
	m = measure(t, shapetest.Trapezoid(80, 40, 0.001))
	near(t, "overall width, a height on a slanted side", m.OverallWidth, 2*m.Area/math.Hypot(80, 20), 0.01)
}

// The long axis of a trapezoid lies along a slanted edge, a = atan((35-25)/2/80)
// off its middle line; seen from there the other edge falls by tan 2a.
func TestTaper(t *testing.T) {
	m := measure(t, shapetest.Trapezoid(80, 35, 25))
	sin, cos := math.Sincos(math.Atan2(5, 80))
	near(t, "overall width", m.OverallWidth, 35*cos, 1e-9)
	extent := 80*cos + 30*sin // from the top corner of the wide end to the bottom one of the narrow
	near(t, "overall length", m.OverallLength, extent, 1e-9)
	slope := math.Tan(2 * math.Atan2(5, 80))
	middle := 35*cos - slope*(extent/2-35*sin)
	near(t, "taper", m.Taper, 0.8*extent*slope/middle, 1e-9)
}

// Concave outlines: a chord is the sum of its pieces.
func TestConcave(t *testing.T) {
	l := shape.Outline{{}, {X: 60}, {X: 60, Y: 24}, {X: 20, Y: 24}, {X: 20, Y: 40}, {Y: 40}}
	m := measure(t, l)
	near(t, "L: area", m.Area, 60*24+20*16, 1e-9)
	near(t, "L: length", m.Length, 60, 1e-9)
	near(t, "L: width", m.Width, 24, 1e-9)
	near(t, "L: overall width", m.OverallWidth, 40, 1e-9)
	near(t, "L: width at a tenth", m.Profile[2], 40, 1e-9)
	notched := shape.Outline{{}, {X: 60}, {X: 60, Y: 15}, {X: 20, Y: 15}, {X: 20, Y: 25}, {X: 60, Y: 25}, {X: 60, Y: 40}, {Y: 40}}
	m = measure(t, notched)
	near(t, "notched: area", m.Area, 60*40-40*10, 1e-9)
	near(t, "notched: width, in two pieces", m.Width, 30, 1e-9)
}
